// Elements made without markup of their own; the program's messages keep their bold and italics and nothing else.

export function make(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (value !== null && value !== false) made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...children.filter((each) => each !== null));
  return made;
}

const KEPT = new Set(["B", "I", "BR"]);

export function formatted(html) {
  const parsed = new DOMParser().parseFromString(html, "text/html").body;
  const copy = (node, into) => {
    for (const child of node.childNodes) {
      if (child.nodeType === Node.TEXT_NODE) into.append(child.textContent);
      else if (KEPT.has(child.nodeName)) {
        const kept = document.createElement(child.nodeName);
        copy(child, kept);
        into.append(kept);
      } else copy(child, into);
    }
  };
  const whole = document.createDocumentFragment();
  copy(parsed, whole);
  return whole;
}
