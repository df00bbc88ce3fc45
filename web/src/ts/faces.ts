// How to teach: one of three faces at a time. Without script they stand under one another, and the words at the foot
// lead down to them.

/** Shows one face at a time, on pages that have them. */
export function startFaces(): void {
  const set = document.querySelector<HTMLElement>("[data-faces]");
  const links = Array.from(document.querySelectorAll<HTMLAnchorElement>(".faces a"));
  if (!set || links.length === 0 || document.getElementById("more")) return;
  const faces = Array.from(set.querySelectorAll<HTMLElement>(".face"));
  const show = (id: string): void => {
    faces.forEach((f) => (f.hidden = f.id !== id));
    links.forEach((a) => {
      if (a.hash === "#" + id) a.setAttribute("aria-current", "true");
      else a.removeAttribute("aria-current");
    });
  };
  links.forEach((a) => {
    a.addEventListener("click", (event) => {
      event.preventDefault();
      history.replaceState(null, "", a.hash);
      show(a.hash.slice(1));
    });
  });
  const wanted = faces.find((f) => "#" + f.id === location.hash) ?? faces[0];
  if (wanted) show(wanted.id);
}
