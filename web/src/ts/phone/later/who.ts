// Who is using this phone, and how to change that: one tap and the other person's PIN.

import { bar, part, say } from "../face/base";
import type { PhoneDay } from "../contract";
import { accounts, chips, unlock } from "./lockpage";

/**
 * The page about who uses this phone. changed: called once someone else does. blocked: sessions of this person would stay
 * readable, so no one else may enter yet.
 */
export function whoPage(day: PhoneDay, blocked: boolean, changed: () => void): DocumentFragment {
  const f = part("t-who", { t: { me: say("today.i_am", { name: day.name }) }, if: { no_pin: !day.pin_set && !blocked, blocked }, slot: { bar: [bar(say("phone.title.who"))] } });
  const out = f.querySelector<HTMLElement>("[data-who-said]")!;
  const form = f.querySelector<HTMLFormElement>("[data-switch]")!;
  const only = f.querySelector<HTMLElement>("[data-alone]")!;
  if (blocked) return f;
  void accounts().then((known) => {
    if (!known) {
      out.textContent = say("phone.no_signal");
      return;
    }
    const others = known.filter((a) => !a.current && a.account !== day.account && a.pin_set);
    chips(form, others);
    form.hidden = others.length === 0;
    only.hidden = others.length > 0;
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const said = new FormData(form);
    void unlock(String(said.get("account") ?? ""), String(said.get("pin") ?? ""), day.account).then((wrong) => {
      if (wrong === undefined) changed();
      else out.textContent = wrong;
    });
  });
  return f;
}
