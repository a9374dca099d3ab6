// The page: shows each state that the program sends, and passes on what the visitor does.
import { WORDS, fill } from "./words.js";
import { drawDay } from "./day.js";
import { drawPhone } from "./phone.js";
import { setUpTour } from "./tour.js";

const at = (id) => document.getElementById(id);
let language = "en";
let state = null;
let stream = null;
const words = () => WORDS[language];

async function act(what, more = {}) {
  const answer = await fetch("do", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ what, ...more }) });
  at("problem").hidden = answer.ok;
  if (!answer.ok) at("problem").textContent = (await answer.json()).problem;
  show(await (await fetch(`state?language=${language}`)).json());
  return state;
}

function show(next) {
  if (state && next.changed < state.changed) return;
  state = next;
  const when = new Date(state.now.slice(0, 16) + "Z");
  const shown = new Intl.DateTimeFormat(language, { weekday: "long", hour: "2-digit", minute: "2-digit", hourCycle: "h23", timeZone: "UTC" });
  at("now").textContent = state.over ? words().over : shown.format(when);
  at("run").textContent = state.running ? words().pause : words().run;
  at("run").setAttribute("aria-pressed", String(state.running));
  at("step").disabled = at("run").disabled = state.over;
  at("speed").value = String(state.speed);
  drawDay(state.day, words());
  for (const phone of state.phones) drawPhone(phone, words(), language, act);
  const digest = state.phones.at(-1).messages.findLast((message) => message.file);
  at("digest").hidden = !digest;
  if (digest && at("digest-picture").getAttribute("src") !== digest.file) at("digest-picture").src = digest.file;
}

function speak(chosen) {
  language = chosen;
  document.documentElement.lang = language;
  for (const each of document.querySelectorAll("[data-word]")) each.textContent = words()[each.dataset.word];
  at("language").textContent = language === "en" ? "Español" : "English";
  at("language").lang = language === "en" ? "es" : "en";
  at("digest-picture").alt = words().picture;
  at("speed").replaceChildren(...Object.entries(words().speeds).map(([speed, name]) => new Option(name, speed)));
  stream?.close();
  state = null;
  stream = new EventSource(`events?language=${language}`);
  stream.onmessage = (event) => show(JSON.parse(event.data));
}

at("step").addEventListener("click", () => act("step"));
at("run").addEventListener("click", () => act("clock", { running: !state.running, speed: state.speed }));
at("speed").addEventListener("change", (event) => act("clock", { running: state.running, speed: Number(event.target.value) }));
const tour = setUpTour(act, () => state, words);
at("language").addEventListener("click", () => { speak(language === "en" ? "es" : "en"); tour.reword(); });
speak(navigator.language.startsWith("es") ? "es" : "en");
