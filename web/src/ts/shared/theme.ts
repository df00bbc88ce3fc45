// Loaded in the head and blocking, so that the first paint already has the colors that the reader chose. A
// separate file because pages carry no inline script.

const KEY = "newel.theme";
const root = document.documentElement;

type Theme = "light" | "dark";

/** The choice stored on this device; null if there is none or the browser stores nothing. */
function kept(): Theme | null {
  try {
    const value = localStorage.getItem(KEY);
    return value === "light" || value === "dark" ? value : null;
  } catch {
    return null;
  }
}

function keep(theme: Theme): void {
  try {
    localStorage.setItem(KEY, theme);
  } catch {
    // Private windows may refuse; the page still changes but does not remember.
  }
}

function shown(): Theme {
  const set = root.dataset.theme;
  if (set === "light" || set === "dark") return set;
  return matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
}

function apply(theme: Theme): void {
  root.dataset.theme = theme;
  // The browser's own bars follow the page rather than the system.
  const paper = theme === "dark" ? "#1B1916" : "#F6F1E6";
  document.querySelectorAll('meta[name="theme-color"]').forEach((meta) => {
    meta.setAttribute("content", paper);
  });
}

function wire(): void {
  const theme = kept();
  if (theme) apply(theme);
  document.querySelectorAll<HTMLElement>("[data-theme-switch]").forEach((button) => {
    button.hidden = false; // hidden in the page because it does nothing without script
    button.addEventListener("click", () => {
      const next: Theme = shown() === "dark" ? "light" : "dark";
      apply(next);
      keep(next);
    });
  });
}

const first = kept();
if (first) apply(first);
document.addEventListener("DOMContentLoaded", wire);

export {};
