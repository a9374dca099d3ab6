// The three phones: what each person sees, and what the visitor can do there.

import { act } from "./api.js";
import { formatted, make } from "./dom.js";
import { said } from "./words.js";

const drawn = new Map(); // phone and message → what is shown of it
let shown = null;
const TOAST = 6000; // milliseconds

export function forget() {
  drawn.clear();
  document.getElementById("phone-list").replaceChildren();
  document.getElementById("tabs").replaceChildren();
}

export function draw(phones) {
  const list = document.getElementById("phone-list");
  if (!list.childElementCount) {
    list.append(...phones.map(frame));
    document.getElementById("tabs").append(...phones.map(tab));
    show(shown ?? phones[0].id);
  }
  for (const phone of phones) fill(phone);
}

function tab(phone) {
  return make("button", { type: "button", id: `tab-${phone.id}`, onclick: () => show(phone.id) }, phone.name);
}

export function show(id) {
  shown = id;
  const talk = document.querySelector(`#phone-${id} .talk`);
  for (const each of document.querySelectorAll(".phone")) each.dataset.shown = each.id === `phone-${id}` ? "yes" : "no";
  for (const each of document.querySelectorAll(".tabs button"))
    each.setAttribute("aria-pressed", String(each.id === `tab-${id}`));
  if (talk && talk.dataset.follows !== "no") talk.scrollTop = talk.scrollHeight;
}

// Put the visitor where they write.
export function write(id) {
  show(id);
  document.querySelector(`#phone-${id} input`).focus();
}

function frame(phone) {
  const name = said("phone_of", { name: phone.name, role: said(phone.role) });
  const field = make("input", {
    type: "text", maxlength: 4096, autocomplete: "off", "aria-label": said("write", { name: phone.name }),
    placeholder: said("write", { name: phone.name }), lang: phone.language,
  });
  const send = (event) => {
    event.preventDefault();
    if (field.value.trim()) act({ do: "say", phone: phone.id, text: field.value });
    field.value = "";
  };
  const talk = make("ol", {
    class: "talk", lang: phone.language, tabindex: 0, "aria-label": name, "aria-live": "polite", "aria-relevant": "additions",
  });
  // Who scrolls up to read stays there; at the end, the newest is followed.
  talk.addEventListener("scroll", () => {
    const placed = Math.abs(talk.scrollTop - Number(talk.dataset.placed)) < 2;
    const atEnd = talk.scrollHeight - talk.scrollTop - talk.clientHeight < 120;
    talk.dataset.follows = placed || atEnd ? "yes" : "no";
  });
  return make(
    "section", { class: "phone card", id: `phone-${phone.id}`, "aria-labelledby": `name-${phone.id}` },
    make("header", {}, make("h3", { id: `name-${phone.id}` }, name), make("button", { type: "button", class: "taking" }), make("p", { class: "whose" })),
    talk,
    make("p", { class: "toast", role: "status" }),
    make(
      "form", { onsubmit: send }, field,
      make("button", { type: "submit", class: "strong" }, said("send")),
      make(
        "div", { class: "more" },
        make("button", { type: "button", onclick: () => act({ do: "photo", phone: phone.id }) }, said("photo")),
        make("button", { type: "button", onclick: () => act({ do: "video", phone: phone.id }) }, said("video")),
      ),
    ),
  );
}

function fill(phone) {
  const place = document.getElementById(`phone-${phone.id}`);
  place.querySelector(".whose").textContent = said(phone.taken ? "yours" : "habits");
  const taking = place.querySelector(".taking");
  taking.textContent = said(phone.taken ? "give_back" : "take");
  taking.onclick = () => act({ do: phone.taken ? "give_back" : "take", phone: phone.id });
  const talk = place.querySelector(".talk");
  let first = null;
  talk.querySelector(".empty")?.remove();
  for (const message of phone.messages) {
    const key = `${phone.id}:${message.id}`;
    const now = JSON.stringify(message);
    const before = drawn.get(key);
    if (before?.now === now) continue;
    const row = line(phone, message);
    if (before) before.row.replaceWith(row);
    else {
      talk.append(row);
      row.classList.add("new");
      first ??= row;
    }
    drawn.set(key, { now, row });
  }
  if (!phone.messages.length) talk.append(make("li", { class: "empty" }, said("no_messages")));
  // What came is read from its start: where it is longer than the phone, its first line stands at the top.
  if (first && talk.dataset.follows !== "no") {
    talk.scrollTop = first.offsetTop - talk.offsetTop;
    talk.dataset.placed = talk.scrollTop;
  }
  toast(place.querySelector(".toast"), phone.toast);
}

// What answers a press stands for a while, and only when it is new.
function toast(place, told) {
  const before = Number(place.dataset.told ?? told.count);
  place.dataset.told = told.count;
  if (told.count <= before || !told.text) return;
  place.textContent = told.text;
  clearTimeout(Number(place.dataset.timer));
  place.dataset.timer = setTimeout(() => { place.textContent = ""; }, TOAST);
}

function line(phone, message) {
  const who = message.mine ? said("you_said", { name: phone.name }) : said("bot_said");
  const when = message.edited ? `${message.at}, ${said("edited")}` : message.at;
  return make(
    "li", { class: message.mine ? "mine" : "theirs" },
    make("div", { class: "by" }, make("b", {}, who), make("span", {}, when)),
    media(message),
    message.html ? make("div", { class: "said" }, formatted(message.html)) : null,
    message.buttons.length ? keys(phone, message) : null,
    message.note ? note(message.note) : null,
  );
}

function media(message) {
  if (!message.file) return null;
  if (message.kind === "photo") return make("img", { src: message.file, alt: said("picture"), loading: "lazy" });
  return make("div", { class: "said" }, `[${message.kind}]`);
}

function keys(phone, message) {
  const press = (button) => () => act({ do: "press", phone: phone.id, message: message.id, data: button.data });
  return make(
    "div", { class: "keys" },
    ...message.buttons.map((line) =>
      make("div", {}, ...line.map((button) =>
        make("button", { type: "button", onclick: press(button), disabled: button.data === null }, button.text)))),
  );
}

function note(told) {
  const head = make("b", {}, said(told.kind === "why" ? "why_now" : "read_as"));
  return make("div", { class: "note" }, head, make("ul", {}, ...told.lines.map((each) => make("li", {}, each))));
}
