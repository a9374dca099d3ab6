// The page's own words, in the language that the visitor chose.

let words = {};
export let steps = [];
export let language = "en";

export async function load(wanted) {
  const answer = await fetch(`/words?language=${wanted}`);
  ({ words, steps } = await answer.json());
  language = wanted;
  document.documentElement.lang = wanted;
  document.title = said("title");
  for (const each of document.querySelectorAll("[data-word]")) each.textContent = said(each.dataset.word);
}

export function said(key, values = {}) {
  return (words[key] ?? key).replace(/\{(\w+)\}/g, (_, name) => values[name] ?? "");
}
