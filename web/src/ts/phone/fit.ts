// Whether a face fits its screen. If a label does not fit its place, or the text is enlarged, the face becomes one column
// that scrolls, with the answers most likely pressed at the thumb.

const ENLARGED = 1.3; // of the usual size of text
const USUAL = 16; // px
const SLACK = 1; // px; browsers round

export interface Fit {
  /** Looks again, and scrolls a column to its foot. */
  now(): void;
  end(): void;
}

/** Whether anything in a button is outside of it. */
function spills(button: Element): boolean {
  const b = button.getBoundingClientRect();
  return Array.from(button.children).some((e) => {
    const c = e.getBoundingClientRect();
    return c.height > 0 && (c.left < b.left - SLACK || c.right > b.right + SLACK || c.top < b.top - SLACK || c.bottom > b.bottom + SLACK);
  });
}

/** Whether what rises from the foot has run into what is asked. */
function collides(section: HTMLElement): boolean {
  const heads = Array.from(section.querySelectorAll(".corner, .ask")).map((e) => e.getBoundingClientRect());
  return Array.from(section.querySelectorAll(".rail > button, .left > *, .second > *")).some((e) => {
    const box = e.getBoundingClientRect();
    return box.height > 0 && heads.some((h) => box.top < h.bottom - SLACK && box.bottom > h.top + SLACK && box.left < h.right - SLACK && box.right > h.left + SLACK);
  });
}

function needsColumn(section: HTMLElement): boolean {
  if (parseFloat(getComputedStyle(document.documentElement).fontSize) >= USUAL * ENLARGED) return true;
  if (section.scrollHeight > section.clientHeight + SLACK || collides(section)) return true;
  return Array.from(section.querySelectorAll(".rail button, .second button, .alone, .notyet")).some(spills);
}

/** Keeps a face's section in the layout that fits: when it appears, turns, or its text grows. Never during a tap. */
export function keepFit(section: HTMLElement): Fit {
  const now = (): void => {
    if (section.hidden) return;
    section.classList.remove("column");
    const column = needsColumn(section);
    section.classList.toggle("column", column);
    section.scrollTop = column ? section.scrollHeight : 0;
  };
  const sized = section.querySelector(".ask");
  const seen = typeof ResizeObserver === "undefined" || !sized ? undefined : new ResizeObserver(() => now());
  if (sized) seen?.observe(sized);
  window.addEventListener("resize", now);
  return {
    now,
    end: () => {
      seen?.disconnect();
      window.removeEventListener("resize", now);
    },
  };
}
