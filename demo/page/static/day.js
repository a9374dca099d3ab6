// The baby's day as a line: waking, feeds, reminders sent and to come, and the moment at hand.

import { make } from "./dom.js";
import { said } from "./words.js";

const NS = "http://www.w3.org/2000/svg";
const WIDTH = 720, LEFT = 8, LINE = 34, FROM = 5 * 60, TO = 22 * 60;

const x = (minute) => LEFT + ((Math.min(Math.max(minute, FROM), TO) - FROM) / (TO - FROM)) * (WIDTH - 2 * LEFT);
const clock = (minute) => `${String(Math.floor(minute / 60)).padStart(2, "0")}:${String(minute % 60).padStart(2, "0")}`;

function shape(tag, attributes, text) {
  const made = document.createElementNS(NS, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  if (text !== undefined) made.textContent = text;
  return made;
}

export function draw(day) {
  const svg = shape("svg", { viewBox: `0 0 ${WIDTH} 76`, role: "img", "aria-label": spoken(day) });
  for (const [start, end] of day.awake)
    svg.append(shape("rect", { class: "awake", x: x(start), y: LINE - 18, width: x(end) - x(start), height: 36, rx: 3 }));
  svg.append(shape("line", { class: "axis", x1: LEFT, x2: WIDTH - LEFT, y1: LINE, y2: LINE }));
  for (let hour = 6; hour <= 21; hour += 3)
    svg.append(shape("text", { class: "hour", x: x(hour * 60), y: 70, "text-anchor": "middle" }, `${hour}:00`));
  for (const feed of day.feeds) svg.append(shape("circle", { class: "feed", cx: x(feed), cy: LINE + 10, r: 4 }));
  for (const each of day.reminders) {
    const kind = each.state === "planned" ? "planned" : "sent";
    const mark = shape("rect", { class: kind, x: x(each.at) - 6, y: LINE - 14, width: 12, height: 12, rx: 2 });
    mark.append(shape("title", {}, `${clock(each.at)} ${each.name}`));
    svg.append(mark);
  }
  svg.append(shape("line", { class: "now", x1: x(day.now), x2: x(day.now), y1: 4, y2: 58 }));
  document.getElementById("day-next").textContent = coming(day);
  const key = (kind) => make("li", {}, make("span", { class: `key ${kind}` }), said(`day_${kind}`));
  document.getElementById("day").replaceChildren(svg, make("ul", {}, ...["awake", "feed", "sent", "planned"].map(key)));
}

function coming(day) {
  const next = day.reminders.filter((each) => each.state === "planned").sort((a, b) => a.at - b.at)[0];
  return next ? said("day_next", { at: clock(next.at), name: next.name }) : said("day_none");
}

function spoken(day) {
  const told = day.reminders.map(
    (each) => `${clock(each.at)} ${each.name}, ${said(each.state === "planned" ? "day_planned" : "day_sent")}`,
  );
  return `${said("day")}, ${clock(day.now)}. ${told.join("; ")}`;
}
