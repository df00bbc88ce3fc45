import { expect } from "@playwright/test";
import { expectAccessible } from "./axe";
import { sessions } from "./kept";
import { expectNoSidewaysScroll, expectTargets } from "./layout";
import { enter, workerReady } from "./phone";
import { startNewel } from "./server";
import { shot } from "./shot";
import { haveRead } from "./training";
import { asksIn, decide, entered, placement, recorder, row, test } from "./taught";

// Stories of the invented clinic, from the status to the decision and back to the phone. Earlier teaching is
// part of the clinic's data; the sessions that a decision is based on are recorded here. Each story has its
// own family.

/** How far the family's clock is ahead of UTC: Africa/Lagos, all year (IANA time zone database), in ms. */
const LAGOS = 3_600_000;
const DAY = 24 * 3_600_000;

test("a flat step is split while six days of it wait on a phone without signal; they arrive together, and the smaller step succeeds", async ({ another, demo, line, desk }, info) => {
  test.setTimeout(180_000);
  const program = "Two-step directions";
  const dayo = row(desk, "Dayo", program);
  const { page } = await another();
  let before = "";

  await test.step("twelve sessions without a gain ask for a look", async () => {
    await desk.goto("/caseload");
    await expect(asksIn(desk, "Needs attention").locator(dayo)).toContainText("No progress: in the last 12 sessions");
    await expect(dayo).toContainText("no progress");
  });

  await test.step("meanwhile six days are recorded without signal", async () => {
    await enter(page, demo, line, "temi");
    await workerReady(page);
    line.down();
    const noon = new Date(Date.now() + LAGOS); // on the family's own day, which begins an hour before UTC's
    noon.setUTCHours(11, 0, 0, 0); // the clinic's own sessions were at other times
    const alone = [9, 9, 9, 10, 9, 10];
    for (const [n, right] of alone.entries()) {
      await page.clock.setSystemTime(noon.getTime() - (alone.length - n) * DAY);
      await entered(page, program, { "Without help": right, "Not yet": 10 - right }, /^Saved on this phone\./);
    }
    await expect(page.locator("#outbox")).toContainText("6 sessions on this phone are waiting to be sent. The oldest has been waiting for more than three days.");
    before = await recorder(page, program);
    await shot(page, info, "story-offline");
  });

  await test.step("the supervisor puts thinner steps in, for this learner", async () => {
    await dayo.getByRole("link", { name: "Split D5" }).click();
    const thin = (n: number) => desk.getByRole("group", { name: `Smaller step ${n}` });
    await thin(1).getByLabel("Step name").fill("Two pictures in their order");
    await thin(1).getByLabel("Done when").fill("Both parts are done in the order of the two pictures.");
    await thin(1).getByLabel("Criterion").fill("90% independent in 3 sessions in a row, 10 or more trials");
    await thin(2).getByLabel("Step name").fill("The second picture goes");
    await desk.getByLabel(/^Reason/).fill("The first part is what is missing. Two pictures show the order first.");
    await shot(desk, info, "story-branch");
    await desk.getByRole("button", { name: "Add these steps" }).click();
    await expect(desk.getByText("The first part is what is missing. Two pictures show the order first.")).toBeVisible();
  });

  await test.step("what lay on the phone comes in on its own days, and the row says what it would have changed", async () => {
    await page.clock.setSystemTime(Date.now());
    line.up();
    await page.reload();
    await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
    await desk.goto("/caseload");
    await expect(dayo).toContainText("6 sessions arrived after the latest decision (split into smaller steps) but took place before it. With them, the status would have been “in progress” instead of “needs attention”.");
    await shot(desk, info, "story-late");
    await dayo.getByRole("button", { name: "Seen, no change" }).click();
    await expect(dayo).toHaveCount(0);
  });

  await test.step("the phone shows the thin step; three sessions meet it", async () => {
    await page.goto("/today"); // on the card or folded: what was taught last moves down
    await expect.poll(() => recorder(page, program)).not.toBe(before);
    await page.goto((await recorder(page, program)).replace("/record/", "/teach/") + "?more=yes");
    await expect(page.getByText("Both parts are done in the order of the two pictures.")).toBeVisible();
    await shot(page, info, "story-thin");
    for (let n = 0; n < 3; n++) await entered(page, program, { "Without help": 10 });
    await desk.goto("/caseload");
    await expect(asksIn(desk, "Criterion met").locator(dayo)).toContainText("Criterion met in 3 consecutive sessions: 10 of 10, 10 of 10, 10 of 10.");
  });
});

test("a step works with one of two people; the program is revised, and it works with both", async ({ another, demo, line, desk }, info) => {
  test.setTimeout(180_000);
  const program = "Asking for a break";
  const rami = row(desk, "Rami", program);
  await placement(desk, "Rami", program);
  await decide(desk, "Advance to the next step", "Asks before he is upset, with both. Now the card lies further away.");

  const [lubna, sami] = [(await another()).page, (await another()).page];
  await enter(lubna, demo, line, "lubna");
  await enter(sami, demo, line, "sami");
  await test.step("ten sessions, five with each", async () => {
    const series = [[lubna, 5], [lubna, 4], [sami, 2], [lubna, 5], [sami, 1], [sami, 2], [lubna, 5], [sami, 1], [lubna, 5], [sami, 2]] as const;
    for (const [page, alone] of series) await entered(page, program, { "Without help": alone, "Not yet": 6 - alone });
    await desk.goto("/caseload");
    await expect(rami).toContainText("differs by person");
    await shot(desk, info, "story-differs");
  });

  await test.step("the supervisor revises the program, with a reason, and takes it over", async () => {
    await rami.getByRole("link", { name: "Revise K4" }).click();
    await desk.getByLabel(/^Reason/).fill("We practiced it together: the break comes at once, whoever is asked.");
    await desk.getByRole("button", { name: "Record the decision" }).click();
    await desk.waitForURL("**/draft*");
    await expect(desk.getByRole("heading", { name: /^Step 4 of 7/ })).toBeVisible();
    await desk.getByLabel(/^Response definition/).fill("Hands the card over before any upset. The break comes at once, whoever is asked.");
    await desk.getByRole("button", { name: "Check and publish" }).click();
    await desk.getByLabel("Nothing in this program restrains").check();
    await desk.getByRole("button", { name: "Publish as version 3" }).click();
    await desk.goto("/caseload");
    await expect(rami).toContainText("Version 3, the revision you started, is published.");
    await shot(desk, info, "story-revised");
    await rami.getByRole("button", { name: "Switch to version 3" }).click();
    await expect(rami).toHaveCount(0);
  });

  await test.step("both phones show it, and it is met with both", async () => {
    for (const page of [sami, lubna]) {
      await page.goto("/today");
      await expect(page.getByText("The step has changed.")).toBeVisible();
    }
    await sami.getByRole("link", { name: "How to teach" }).click();
    await sami.getByRole("link", { name: "More" }).click();
    await expect(sami.getByText("The break comes at once, whoever is asked.")).toBeVisible();
    await entered(sami, program, { "Without help": 5, "Not yet": 1 });
    await entered(lubna, program, { "Without help": 6 });
    await entered(sami, program, { "Without help": 5, "Not yet": 1 });
    await desk.goto("/caseload");
    await expect(asksIn(desk, "Criterion met").locator(rami)).toContainText("5 of 6, 6 of 6, 5 of 6. Taught by Sami, Lubna.");
    await expect(rami).not.toContainText("still hold");
  });
});

test("after a pause performance drops; the program's own rule says so; one step back, and it is met again", async ({ another, demo, line, desk }, info) => {
  test.setTimeout(180_000);
  const program = "Waiting for the door";
  const teo = row(desk, "Teo", program);
  await test.step("a program from a file, published and assigned", async () => {
    await desk.goto("/programs/import");
    await desk.locator("#f-file").setInputFiles({ name: "waiting.yaml", mimeType: "application/yaml", buffer: Buffer.from(waiting) });
    await desk.getByRole("button", { name: "Import as a draft" }).click();
    await desk.waitForURL("**/draft*");
    await desk.getByRole("button", { name: "Check and publish" }).click();
    await desk.getByLabel("Nothing in this program restrains").check();
    await desk.getByRole("button", { name: "Publish as version 1" }).click();
    await desk.goto("/families");
    await desk.getByRole("link", { name: "Teo" }).click();
    await desk.goto(`${desk.url()}/assign`);
    await desk.getByRole("radio", { name: program }).check();
    await desk.getByRole("button", { name: "Assign" }).click();
    await placement(desk, "Teo", program);
    await decide(desk, "Advance to the next step", "Ten seconds are nothing new for him.");
  });

  const { page } = await another();
  let before = "";
  await test.step("paused for a holiday: the phone does not offer it until it is taken up again", async () => {
    await enter(page, demo, line, "andreu");
    await page.goto((await recorder(page, program)).replace("/record/", "/teach/"));
    await haveRead(page);
    await placement(desk, "Teo", program);
    await decide(desk, "Pause", "Ten days at the sea.");
    await page.goto("/today");
    await expect(page.locator(".day")).not.toContainText(program);
    await desk.getByRole("button", { name: "Resume" }).click();
    await page.goto("/today");
    await expect(page.locator(".day")).toContainText(program);
  });

  await test.step("two sessions below half raise the program's own rule; one step back", async () => {
    await entered(page, program, { "Without help": 1, "Not yet": 4 });
    await entered(page, program, { "Without help": 2, "Not yet": 3 });
    await desk.goto("/caseload");
    await expect(asksIn(desk, "Needs attention").locator(teo)).toContainText("The program’s step-back rule was met over 2 sessions.");
    await shot(desk, info, "story-step-back");
    await teo.getByRole("link", { name: "Step back to D1" }).click();
    await expect(desk.getByRole("radio", { name: "Step back" })).toBeChecked();
    before = await recorder(page, program);
    await decide(desk, "Step back", "After the holiday half a minute is long again. Back to ten seconds for some days.");
  });

  await test.step("the phone shows the earlier step and why, and it is met again", async () => {
    await page.goto("/today");
    await expect.poll(() => recorder(page, program)).not.toBe(before);
    for (const alone of [4, 5]) await entered(page, program, { "Without help": alone, "Not yet": 5 - alone });
    await page.goto((await recorder(page, program)).replace("/record/", "/teach/") + "?more=yes");
    await expect(page.getByText("Ten seconds beside the door.")).toBeVisible();
    await shot(page, info, "story-stepped-back");
    await desk.goto("/caseload");
    await expect(asksIn(desk, "Criterion met").locator(teo)).toContainText("Criterion met in 2 consecutive sessions: 4 of 5, 5 of 5. Taught by Andreu.");
  });
});

test("a child's refusal pauses the program at once, here and on the other phone, and comes first; what the family says stays theirs, and the clinic lifts it with what was agreed", async ({ another, demo, line, desk }, info) => {
  const program = "Fine either way";
  const [orla, cian] = [(await another()).page, (await another()).page];
  await enter(orla, demo, line, "orla");
  await enter(cian, demo, line, "cian");
  await orla.goto(await recorder(orla, program));
  await orla.locator("[data-before] button[type=submit]").click();
  await orla.getByRole("button", { name: "Stop", exact: true }).click();
  await orla.getByRole("link", { name: "Back to Today" }).click();
  await expect(orla.locator(".resting", { hasText: program })).toBeVisible();
  await expect.poll(async () => (await sessions(orla)).every((k) => k.receipt)).toBe(true);
  await cian.goto("/today");
  await shot(cian, info, "story-rests");
  const rests = cian.locator(".resting", { hasText: program });
  await expect(rests).toBeVisible();

  await desk.goto("/caseload");
  await shot(desk, info, "story-no");
  const rows = await desk.locator("article.row").allInnerTexts();
  const first = rows.findIndex((text) => text.includes("Wren") && text.includes(program));
  expect(rows.slice(0, first).filter((text) => !text.includes("said no"))).toEqual([]);
  expect(rows[first]).toContain("Paused: the family will not be asked to start it");
  expect(first).toBeLessThan(rows.findIndex((text) => text.includes("Criterion met in")));

  const noted = cian.waitForResponse("**/phone/talks/*");
  await rests.getByRole("textbox").fill("She wanted to stop after the second card.");
  await rests.getByRole("button", { name: "We talked about it" }).click();
  expect((await noted).status()).toBe(200);
  await expect(rests.locator(".said")).toContainText("She wanted to stop after the second card.");
  await orla.goto("/today");
  const also = orla.locator(".resting", { hasText: program });
  await expect(also.locator(".said")).toContainText("Cian");
  await expect(also.getByRole("link", { name: "Start" })).toHaveCount(0);
  await expectAccessible(orla);
  await expectTargets(orla, 44);
  await expectNoSidewaysScroll(orla);

  await test.step("seeing it changes nothing; lifting it needs what was agreed", async () => {
    await desk.reload();
    const wren = row(desk, "Wren", program);
    await expect(wren.locator(".said")).toContainText("She wanted to stop after the second card.");
    await expect(wren.locator(".said")).toContainText("Cian");
    await wren.getByRole("button", { name: "Seen, no change" }).click();
    await desk.waitForURL("**/caseload");
    await expect(asksIn(desk, "Child said no").locator(wren)).toContainText("Paused: the family will not be asked to start it");
    await wren.getByRole("link", { name: "Lift the pause" }).click();
    await expectAccessible(desk);
    await shot(desk, info, "story-lift");
    await desk.locator("#lift-form").evaluate((form: HTMLFormElement) => (form.noValidate = true));
    await desk.getByRole("button", { name: "Lift the pause" }).click();
    await expect(desk.getByRole("alert")).toContainText("What was agreed");
    await desk.getByLabel("What was agreed").fill("Two rounds only, and Wren chooses the cards.");
    await desk.getByRole("button", { name: "Lift the pause" }).click();
    await expect(desk.locator("#lift-form")).toHaveCount(0);
    await expect(desk.getByRole("listitem").filter({ hasText: "pause lifted" })).toContainText("Two rounds only, and Wren chooses the cards.");
    await expect(desk.locator("[aria-labelledby=talks]")).toContainText("She wanted to stop after the second card.");
    await shot(desk, info, "story-lifted");
    await desk.getByRole("link", { name: "Wren", exact: true }).click();
    await expect(desk.getByText(/^Pause lifted on .* by Mara Vellinger\. Agreed on .*: Two rounds only, and Wren chooses the cards\.$/)).toBeVisible();
    await desk.goto("/caseload");
    await expect(row(desk, "Wren", program).getByText("Paused: the family")).toHaveCount(0);
  });

  for (const phone of [orla, cian]) {
    await phone.goto("/today");
    await expect(phone.locator(".resting", { hasText: program })).toHaveCount(0);
    await expect(phone.locator(".day", { hasText: program }).locator(".agreed")).toContainText("Two rounds only, and Wren chooses the cards.” Mara Vellinger");
  }
  await shot(orla, info, "story-lifted-today");
  await orla.goto(await recorder(orla, program));
  await orla.locator("[data-before] button[type=submit]").click();
  await expect(orla.getByRole("button", { name: "Stop", exact: true })).toBeVisible();
});

test("two supervisors decide on one row: one wins; the other is told and keeps what was typed", async ({ desk, atDesk }, info) => {
  const program = "Toothbrush, comfortable for two minutes";
  const other = await atDesk("tomas");
  await placement(desk, "Signe", program);
  await other.goto(desk.url());
  await other.getByRole("radio", { name: "Advance to the next step" }).check();
  const mine = "Calm in both homes, three evenings in a row. On to one side.";
  await other.getByLabel(/^Reason/).fill(mine);
  await other.getByLabel(/^What you expect/).fill("Ten seconds on one side within a week.");
  await decide(desk, "Continue this step", "The loose tooth comes out first.");
  await other.getByRole("button", { name: "Record the decision" }).click();
  await expect(other.getByRole("alert")).toContainText("Mara Vellinger");
  await shot(other, info, "story-meanwhile");
  await expect(other.getByRole("radio", { name: "Advance to the next step" })).toBeChecked();
  await expect(other.getByLabel(/^Reason/)).toHaveValue(mine);
  await expect(other.getByLabel(/^What you expect/)).toHaveValue("Ten seconds on one side within a week.");
  await other.getByRole("button", { name: "Record the decision" }).click(); // aware of it
  await expect(other.getByText(mine)).toBeVisible();
});

test("an open caseload of one process follows what arrives at another, even after a restart", async ({ another, demo, line, atDesk }) => {
  const program = "Which cup?";
  const beside = await startNewel({ demo: false, beside: demo.server });
  try {
    const desk = await atDesk("supervisor", beside.url);
    await desk.goto("/caseload");
    const { page } = await another();
    await enter(page, demo, line, "temi");
    await entered(page, program, { "Without help": 5 });
    await expect(row(desk, "Dayo", program)).toContainText("4 of 5, 5 of 5, 4 of 5, 5 of 5");
    await beside.restart();
    await entered(page, program, { "Without help": 5 });
    await expect(row(desk, "Dayo", program).getByRole("img", { name: "5 sessions, oldest first: 4 of 5, 5 of 5, 4 of 5, 5 of 5, 5 of 5." })).toBeVisible();
  } finally {
    await beside.stop();
  }
});

const waiting = `newel_program: 1
title: Waiting for the door
purpose: A door that is opened in a moment, and a wait that ends for sure.
stop_rule: At any stop sign the wait is over, and the door is opened.
help_levels:
  - name: point
procedure:
  say: Wait.
  if_right: "“You waited.” The door opens at once."
  if_not_yet: Open it after a moment of quiet.
  if_says_no: The wait ends.
strands:
  - key: own
    steps:
      - label: D1
        name: Ten seconds
        done_when: Ten seconds beside the door.
        measure: trials
        trials: 5
        criterion: 80% independent in 2 sessions in a row, 5 or more trials
        step_back: below 50% in 2 sessions in a row
      - label: D2
        name: Thirty seconds
        done_when: Half a minute beside the door.
        measure: trials
        trials: 5
        criterion: 80% independent in 2 sessions in a row, 5 or more trials
        step_back: below 50% in 2 sessions in a row
`;

test("a review: the phone follows the desk page by page, browses alone, follows again; what was agreed comes back as actions", async ({ another, demo, line, desk }, info) => {
  const { page } = await another();
  await enter(page, demo, line, "orla");
  await desk.goto("/families");
  await desk.getByRole("link", { name: "Wren", exact: true }).click();
  await desk.getByRole("button", { name: "Start a review" }).click();
  await expect(desk.getByRole("heading", { name: "Review: Wren" })).toBeVisible();

  await test.step("the family finds it on Today, and each sees that the other is there", async () => {
    await page.goto("/today");
    await page.getByRole("link", { name: "A review is in progress" }).click();
    await expect(page.locator(".lede")).toContainText("Here now: ");
    await expect(page.locator(".lede")).toContainText("Orla");
    await expect(desk.locator(".lede")).toContainText("Orla");
    await expect(page.locator(".showing")).toContainText("is showing: What was agreed");
  });

  const leaf = (name: string) => desk.locator(".leaf").filter({ hasText: name });
  await test.step("what is turned to at the desk lies open on the phone, without a touch there", async () => {
    await page.evaluate(() => window.scrollTo(0, document.body.scrollHeight));
    await leaf("Memory pairs").click();
    await expect(page.locator(".showing")).toContainText("is showing: Memory pairs");
    await expect(page.locator("#open-page")).toHaveText("Memory pairs");
    await expect(page.locator(".familyprogress svg").first()).toBeVisible();
    expect(await page.evaluate(() => window.scrollY)).toBe(0);
    await expectNoSidewaysScroll(page);
    await expectTargets(page, 48);
    await expectAccessible(page);
    await shot(page, info, "story-review-phone");
    await shot(desk, info, "story-review-desk");
  });

  await test.step("who looks alone stays there, and comes back", async () => {
    await page.getByRole("link", { name: "Browse on your own" }).click();
    await page.locator(".leaf").filter({ hasText: "Fine either way" }).click();
    await expect(page.locator(".showing")).toContainText("You are browsing on your own: Fine either way");
    await leaf("Packing the swimming bag").click();
    await expect(desk.locator(".showing")).toContainText("You are showing everyone: Packing the swimming bag");
    await expectAccessible(page);
    await expect(page.locator("#open-page")).toHaveText("Fine either way");
    await page.getByRole("link", { name: "Back to the shared page" }).click();
    await expect(page.locator("#open-page")).toHaveText("Packing the swimming bag");
  });

  await test.step("what is agreed stands on the phone at once, and after the review on Today", async () => {
    await desk.getByLabel(/^What will be done/).fill("Lay the bag out the evening before.");
    await desk.getByLabel("The family", { exact: true }).check();
    await desk.getByRole("button", { name: "Save" }).click();
    await expect(page.locator(".actions")).toContainText("Lay the bag out the evening before.");
    await desk.getByRole("button", { name: "End the review" }).click();
    await expect(desk.locator(".say").first()).toContainText("This review took place on");
    await expect(page.locator(".say").first()).toContainText("This review took place on");
    await page.goto("/today");
    await page.getByRole("link", { name: "1 thing you agreed to do" }).click();
    await page.getByRole("button", { name: "Done" }).click();
    await expect(page.getByText("You have nothing left to do.")).toBeVisible();
    await desk.reload();
    await expect(desk.locator(".actions li.soft")).toContainText("Done: Orla");
  });
});

test("a message from a phone appears on the open caseload, and its answer on Today", async ({ another, demo, line, desk }, info) => {
  const { page } = await another();
  await enter(page, demo, line, "orla");
  await desk.goto("/caseload");
  const waits = desk.getByRole("region", { name: "Messages" }).locator("li").filter({ hasText: "Orla" });
  await expect(waits).toHaveCount(0);
  await page.getByRole("link", { name: "Write to the clinic" }).click();
  await page.getByLabel("Write a message").fill("She asked for the bag herself today.");
  await page.getByRole("button", { name: "Send" }).click();
  await expect(page.locator(".letters li").first()).toContainText("Not read yet.");
  await expect(waits).toContainText("She asked for the bag herself today."); // without any action at the desk
  await waits.getByRole("link").click();
  await desk.getByLabel("Write a message").fill("Then let her carry it.");
  await desk.getByRole("button", { name: "Send" }).click();
  await expect(page.locator(".letters li").first()).toContainText("Then let her carry it.");
  await expectAccessible(page);
  await shot(page, info, "story-messages-phone");
  await shot(desk, info, "story-messages-desk");
  await page.goto("/today");
  await page.getByRole("link", { name: "1 new message from the clinic" }).click();
  await page.getByRole("button", { name: "I have read this" }).click();
  await expect(page.getByRole("button", { name: "I have read this" })).toBeHidden();
  await expect(desk.locator(".letters li").first()).toContainText("Read by Orla");
});
