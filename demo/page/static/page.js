// Keeps the page as the program's state is: told by a stream that something is new, it asks for the whole of it.

import { act, refreshedBy } from "./api.js";
import * as day from "./day.js";
import { make } from "./dom.js";
import * as phones from "./phones.js";
import * as tour from "./tour.js";
import { language, load, said } from "./words.js";

const narrow = matchMedia("(max-width: 60rem)"); // as in style.css
let asking = null, next = null, digest = null;

// One question at a time; whoever asks meanwhile waits for the next answer, which is newer than their question.
function refresh() {
  if (asking) return (next ??= asking.then(() => { next = null; return refresh(); }));
  asking = ask().finally(() => { asking = null; });
  return asking;
}

async function ask() {
  const answer = await fetch(`/state?language=${language}`).catch(() => null);
  if (answer?.ok) draw(await answer.json());
}

function draw(state) {
  drawClock(state.clock);
  day.draw(state.day);
  phones.draw(state.phones);
  drawDigest(state.digest);
  document.body.dataset.version = state.version;
}

function drawClock(clock) {
  document.getElementById("clock").textContent = clock.over ? said("over") : clock.shown;
  document.getElementById("pause").disabled = !clock.running;
  document.getElementById("step").disabled = clock.over;
  const buttons = clock.speeds.map((speed) =>
    make("button", {
      type: "button", disabled: clock.over, "aria-pressed": String(clock.running && clock.speed === speed),
      onclick: () => act({ do: "run", speed }),
    }, said("speed", { n: speed })));
  const speeds = document.getElementById("speeds");
  const focused = [...speeds.children].indexOf(document.activeElement);
  speeds.replaceChildren(...buttons);
  if (focused >= 0) buttons[focused].focus();
}

function drawDigest(told) {
  const now = JSON.stringify([told, language]);
  if (now === digest) return;
  digest = now;
  const place = document.getElementById("digest");
  if (!told) { place.replaceChildren(make("p", {}, said("digest_none"))); return; }
  place.replaceChildren(
    make("p", {}, make("a", { href: told.document, target: "_blank", rel: "noopener" }, said("document"))),
    make("img", { src: told.picture, alt: said("digest_alt") }),
    navigator.pdfViewerEnabled && !narrow.matches
      ? make("iframe", { src: `${told.document}#toolbar=0&navpanes=0&view=FitH`, title: said("document_title") })
      : "",
  );
}

// On a narrow screen the phones stand right under the tour, and the clock below them: read, and reached, in that order.
function arrange() {
  const time = document.getElementById("time"), main = document.getElementById("phones");
  if (narrow.matches) main.after(time);
  else main.before(document.getElementById("problem"), time);
}

async function speak(wanted) {
  await load(wanted);
  phones.forget();
  tour.draw();
  await refresh();
}

// What was pressed may not be pressed again now; whoever got there by keyboard goes on beside it.
document.getElementById("pause").onclick = async () => {
  await act({ do: "pause" });
  document.getElementById("step").focus();
};
document.getElementById("step").onclick = () => act({ do: "step" });
document.getElementById("language").onchange = (event) => speak(event.target.value);
refreshedBy(refresh);
arrange();
narrow.onchange = arrange;
tour.begin();
const first = navigator.language.startsWith("es") ? "es" : "en";
document.getElementById("language").value = first;
await speak(first);
new EventSource("/events").onmessage = refresh;
