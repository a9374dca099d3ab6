// What the visitor does, sent to the program; what went wrong is shown in one line.

import { said } from "./words.js";

let refresh = async () => {};

export function refreshedBy(how) { refresh = how; }

export async function act(wanted) {
  const problem = document.getElementById("problem");
  problem.hidden = true;
  const answer = await fetch("/act", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(wanted),
  }).catch(() => null);
  if (answer?.ok) {
    await refresh();
    return true;
  }
  const told = answer ? (await answer.json().catch(() => ({}))).error : null;
  problem.textContent = said("failed", { reason: told ?? "…" });
  problem.hidden = false;
  return false;
}
