import { expect, type Page } from "@playwright/test";

// Who may start a step. In the invented clinic everyone who records there may start what they record, from
// before their first session (internal/demo/training.go); people who never record were only shown it. In a
// clinic that a test sets up itself, no one has read anything: the phone asks to read first, and a supervisor
// records further training.

/**
 * Records on the page how far a person has progressed with a program. learner: the address of the learner's
 * page.
 */
export async function train(desk: Page, learner: string, program: string, who: string, state: "read" | "shown" | "practised" | "alone" | "none"): Promise<void> {
  await desk.goto(learner);
  await desk.getByRole("listitem").filter({ has: desk.getByRole("heading", { name: program }) }).getByRole("link", { name: "Caregiver training" }).click();
  const person = desk.getByRole("article", { name: who });
  await person.getByLabel("Training so far").selectOption(state);
  await person.getByRole("button", { name: "Record" }).click();
  await expect(person.getByLabel("Training so far")).toHaveValue("");
}

/** On the page "How to teach": confirms reading it. Then the step can be started, if it requires no more. */
export async function haveRead(hand: Page): Promise<void> {
  await hand.getByRole("button", { name: "I have read this" }).click();
  await expect(hand.getByRole("button", { name: "I have read this" })).toHaveCount(0);
}
