// One phone: its messages as plain cards, what was read and why under them, and a place to write.
import { fill } from "./words.js";

const made = (tag, kind, text = "") => Object.assign(document.createElement(tag), { className: kind, textContent: text });

function begin(phone, act) {
  const whole = document.getElementById("phone").content.firstElementChild.cloneNode(true);
  whole.id = `phone-${phone.id}`;
  whole.querySelector("h2").id = `name-${phone.id}`;
  whole.setAttribute("aria-labelledby", `name-${phone.id}`);
  const field = whole.querySelector("textarea");
  field.id = `write-${phone.id}`;
  whole.querySelector("label").htmlFor = field.id;
  whole.querySelector("form").addEventListener("submit", (event) => {
    event.preventDefault();
    if (field.value.trim()) act("say", { phone: phone.id, text: field.value.trim() });
    field.value = "";
  });
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && !event.shiftKey && !event.isComposing) { event.preventDefault(); field.form.requestSubmit(); }
  });
  whole.querySelector(".hand").addEventListener("click", () => act("hand", { phone: phone.id, taken: whole.dataset.taken !== "true" }));
  document.getElementById("phones").append(whole);
  return whole;
}

function readAs(read, words) {
  const side = (each) => (each.side ? `, ${words[each.side]}` : "");
  const entry = (each) => fill(words.counted, { minutes: each.minutes ?? words.unknown, name: each.name ?? words.unnamed }) + side(each);
  const facts = [
    ...(read.concern ? [words.urgency[read.concern.urgency]] : []),
    ...read.entries.map(entry),
    ...(read.skipped ? [fill(words.skipped, { what: read.skipped })] : []),
    ...read.observations.map((what) => fill(words.seen, { what })),
    ...(read.request ? [fill(words.asked, { what: [words.requests[read.request.kind], read.request.name].filter(Boolean).join(", ") })] : []),
    ...(read.confirm ? [words.confirm] : []),
    ...(read.unread ? [fill(words.unread, { what: read.unread })] : []),
  ];
  return facts.join("; ") || words.nothing;
}

function card(message, phone, words, language, act) {
  const item = made("li", message.mine ? "mine" : "");
  const when = new Date(message.at.slice(0, 16) + "Z");
  const format = new Intl.DateTimeFormat(language, { weekday: "short", hour: "2-digit", minute: "2-digit", hourCycle: "h23", timeZone: "UTC" });
  item.append(made("span", "meta", `${message.mine ? phone.name : words.bot}, ${format.format(when)}`));
  const text = made("div", "text");
  text.innerHTML = message.html; // escaped by the program, with <b> and <i> alone
  if (message.file) item.append(Object.assign(made("img", ""), { src: message.file, alt: words.picture }));
  else if (message.kind !== "text") item.append(made("span", "meta", words[message.kind === "document" ? "document_file" : message.kind] ?? message.kind));
  item.append(text);
  if (message.why) item.append(made("p", "note why", `${words.why}: ${message.why}.`));
  if (message.read) item.append(made("p", "note read", `${words.read}: ${readAs(message.read, words)}.`));
  const rows = made("div", "rows");
  for (const row of message.buttons) {
    const line = made("div", "choices");
    for (const button of row) {
      const key = Object.assign(made("button", "", button.text), { type: "button" });
      key.addEventListener("click", () => act("press", { phone: phone.id, message: message.id, data: button.data }));
      line.append(key);
    }
    rows.append(line);
  }
  if (message.buttons.length) item.append(rows);
  return item;
}

export function drawPhone(phone, words, language, act) {
  const whole = document.getElementById(`phone-${phone.id}`) ?? begin(phone, act);
  whole.dataset.taken = String(phone.taken);
  whole.querySelector("h2").textContent = phone.name;
  whole.querySelector(".role").textContent = words.roles[phone.id];
  whole.querySelector(".hand").textContent = phone.taken ? fill(words.leave, phone) : words.take;
  whole.querySelector(".hand").setAttribute("aria-pressed", String(phone.taken));
  whole.querySelector("label").textContent = fill(words.write, phone);
  whole.querySelector("textarea").placeholder = fill(words.write, phone);
  whole.querySelector(".say").textContent = words.say;
  const clip = whole.querySelector(".clip");
  clip.textContent = words.clip;
  clip.onclick = () => act("clip", { phone: phone.id, text: words.clipWords });
  const concern = whole.querySelector(".concern");
  concern.textContent = words.concern;
  concern.hidden = !words.concerns[phone.id];
  concern.onclick = () => { whole.querySelector("textarea").value = words.concerns[phone.id]; whole.querySelector("textarea").focus(); };
  const list = whole.querySelector(".messages");
  list.setAttribute("aria-label", fill(words.messages, phone));
  const known = JSON.stringify([language, phone.messages]);
  if (list.shown === known) return;
  list.shown = known;
  const old = new Map([...list.children].map((item) => [item.shown, item]));
  list.replaceChildren(...phone.messages.map((message) => {
    const key = JSON.stringify([language, message]);
    return old.get(key) ?? Object.assign(card(message, phone, words, language, act), { shown: key });
  }));
  if (!phone.messages.length) list.append(made("li", "empty", words.empty));
  list.scrollTop = list.scrollHeight;
}
