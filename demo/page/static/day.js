// The baby's day as a line: awake, feeds, reminders sent and still to come, and where the clock stands.
import { fill } from "./words.js";

const SPACE = "http://www.w3.org/2000/svg";
const clock = (minute) => `${String(Math.floor(minute / 60)).padStart(2, "0")}:${String(minute % 60).padStart(2, "0")}`;

function box(kind, x, y, width, height) {
  const shape = document.createElementNS(SPACE, "rect");
  for (const [name, value] of Object.entries({ class: kind, x, y, width, height })) shape.setAttribute(name, value);
  return shape;
}

export function drawDay(day, words) {
  const line = document.getElementById("line");
  const title = fill(words.day, day);
  document.getElementById("day-title").textContent = title;
  const listed = day.reminders.map((each) => `${clock(each.at)} ${each.name}, ${Math.round(each.minutes)} min: ${words.states[each.state] ?? each.state}`);
  line.setAttribute("aria-label", `${title}. ${listed.join("; ")}`);
  const kind = (each) => (each.state === "planned" ? "planned" : each.state === "answered" ? "answered" : "sent");
  line.replaceChildren(
    box("base", 0, 30, 1440, 26),
    ...day.awake.map(([from, to]) => box("awake", from, 30, to - from, 26)),
    ...[6, 9, 12, 15, 18, 21].map((hour) => box("hour", hour * 60, 24, 2, 38)),
    ...day.feeds.map((feed) => box("feed", feed, 60, 8, 14)),
    ...day.reminders.map((each) => box(kind(each), each.at - 6, 8, 12, 18)),
    box("now", day.now - 2, 0, 4, 86),
  );
  document.getElementById("coming").replaceChildren(
    ...day.reminders.map((each, place) => {
      const item = document.createElement("li");
      item.textContent = `${listed[place]}${each.why ? ` (${each.why})` : ""}`;
      return item;
    }),
  );
}
