// The criterion as a sentence and as a form, each updating the other. The server parses and formats the
// words.

interface Answer {
  text: string;
  read: boolean;
  problem: string;
  parts: string;
  panel: string;
}

const PAUSE = 350; // ms
const BASIS = "details.luckbasis";

/** Makes sentence and form update each other. typed is called when the form has changed the sentence. */
export function workCriterion(form: HTMLFormElement, typed: () => void): void {
  const box = form.querySelector<HTMLElement>("[data-criterion]");
  const sentence = box?.querySelector<HTMLTextAreaElement>("[data-crit-text] textarea");
  const parts = box?.querySelector<HTMLElement>("[data-crit-parts]");
  const panel = box?.querySelector<HTMLElement>("[data-crit-panel]");
  const problem = box?.querySelector<HTMLElement>("[data-crit-problem]");
  const said = box?.querySelector<HTMLElement>("[data-crit-said]");
  const path = box?.dataset["criterion"];
  if (!box || !sentence || !parts || !panel || !problem || !said || !path) return;

  let asked = 0;
  let timer = 0;
  const ask = async (query: URLSearchParams, byForm: boolean): Promise<void> => {
    const mine = ++asked;
    const trials = form.querySelector<HTMLInputElement>('input[name$=".trials"]');
    query.set("trials", trials?.value ?? "");
    let answer: Answer;
    try {
      const response = await fetch(`${path}&${query.toString()}`, { headers: { Accept: "application/json" } });
      if (!response.ok) return;
      answer = (await response.json()) as Answer;
    } catch {
      return; // without a connection both stay as typed
    }
    if (mine !== asked) return;
    problem.innerHTML = answer.problem;
    if (answer.read || byForm) {
      const opened = panel.querySelector<HTMLDetailsElement>(BASIS)?.open ?? false;
      panel.innerHTML = answer.panel;
      const basis = panel.querySelector<HTMLDetailsElement>(BASIS);
      if (basis) basis.open = opened;
      announce(said, panel);
    }
    if (!byForm) {
      if (answer.read) parts.innerHTML = answer.parts;
    } else if (answer.read && sentence.value !== answer.text) {
      sentence.value = answer.text;
      typed();
    }
  };
  const soon = (query: () => URLSearchParams, byForm: boolean): void => {
    window.clearTimeout(timer);
    timer = window.setTimeout(() => void ask(query(), byForm), PAUSE);
  };
  sentence.addEventListener("input", () => soon(() => new URLSearchParams({ text: sentence.value }), false));
  parts.addEventListener("input", (e) => {
    if (e.target instanceof HTMLSelectElement && e.target.name.startsWith("crit-goal")) {
      const line = e.target.closest<HTMLElement>("[data-goal]");
      if (line) line.dataset["goal"] = e.target.value;
    }
    soon(() => partsOf(form), true);
  });
  form.addEventListener("input", (e) => {
    if (e.target instanceof HTMLInputElement && e.target.name.endsWith(".trials") && !e.target.name.startsWith("crit-")) {
      soon(() => new URLSearchParams({ text: sentence.value }), false);
    }
  });
}

/** Tells a screen reader what the panel says about luck, once it says something else. */
function announce(said: HTMLElement, panel: HTMLElement): void {
  const lines = [...panel.querySelectorAll(".luck > p, .mend .fix")].map((e) => e.textContent?.trim() ?? "").join(" ");
  if (said.textContent !== lines) said.textContent = lines;
}

function partsOf(form: HTMLFormElement): URLSearchParams {
  const query = new URLSearchParams();
  new FormData(form).forEach((value, name) => {
    if (name.startsWith("crit-") && typeof value === "string") query.set(name, value);
  });
  return query;
}
