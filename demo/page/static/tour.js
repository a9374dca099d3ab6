// The tour: seven steps, each of which the real program lives through.

import { act } from "./api.js";
import { show, write } from "./phones.js";
import { said, steps } from "./words.js";

const PHONE = { reminder: 5001, reply: 5001, refresher: 5002, concern: 5001, plan: 9001, digest: 9001, yours: 5001 };
const done = new Set();
let at = 0;

const by = (id) => document.getElementById(id);

export function draw() {
  by("tour-place").textContent = said("tour_place", { n: at + 1, of: steps.length });
  by("tour-text").textContent = said(`tour_${steps[at]}`);
  by("tour-back").disabled = at === 0;
  by("tour-next").disabled = at === steps.length - 1;
  by("tour-do").disabled = done.has(steps[at]);
}

export function begin() {
  by("tour-do").onclick = async () => {
    const step = steps[at];
    const button = by("tour-do");
    button.disabled = true;
    button.textContent = said("tour_busy");
    show(PHONE[step]);
    if (await act({ do: "tour", step })) done.add(step);
    button.textContent = said("tour_do");
    draw();
    if (step === "yours") write(PHONE[step]);
    else by("tour-next").focus();
  };
  by("tour-back").onclick = () => { at -= 1; draw(); by(at ? "tour-back" : "tour-next").focus(); };
  by("tour-next").onclick = () => { at += 1; draw(); by(done.has(steps[at]) ? "tour-next" : "tour-do").focus(); };
}
