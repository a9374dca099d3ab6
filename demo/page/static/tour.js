// The guided tour: seven steps, each played by the program until what it tells of has happened.
import { fill } from "./words.js";

const at = (id) => document.getElementById(id);
const MOST_STEPS = 400;
const ADA = 0, ROBIN = 2;
const shown = (phone, wanted) => (state) => state.phones[phone].messages.some(wanted);
const HAPPENED = [
  shown(ADA, (message) => message.why),
  shown(ADA, (message) => message.read?.entries.length),
  shown(ADA, (message) => message.read?.request?.kind === "refresher"),
  shown(ADA, (message) => message.read?.concern),
  null,
  shown(ROBIN, (message) => message.file),
  null,
];

export function setUpTour(act, stateNow, words) {
  let step = 0;
  const tell = () => {
    const [title, text] = words().steps[step];
    at("tour-title").textContent = fill(words().step_of, { n: step + 1, title });
    at("tour-text").textContent = text;
    at("tour-next").textContent = step === 6 ? words().end : words().next;
  };
  const play = async () => {
    const happened = HAPPENED[step];
    let left = MOST_STEPS;
    while (happened && !happened(stateNow()) && !stateNow().over && left-- > 0) await act("step");
    if (step === 4) { await act("say", { phone: 9001, text: "/families" }); await act("hand", { phone: 9001, taken: false }); }
  };
  at("tour-open").addEventListener("click", () => { step = 0; at("tour").hidden = false; tell(); at("tour-next").focus(); });
  at("tour-close").addEventListener("click", () => { at("tour").hidden = true; at("tour-open").focus(); });
  at("tour-next").addEventListener("click", async () => {
    at("tour-next").disabled = true;
    await play();
    at("tour-next").disabled = false;
    if (step === 6) { at("tour-close").click(); return; }
    step += 1;
    tell();
    at("tour-next").focus();
  });
  return { reword: () => at("tour").hidden || tell() };
}
