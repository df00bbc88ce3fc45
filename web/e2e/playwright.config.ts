import { defineConfig } from "@playwright/test";
import { chromiumQuick } from "./paths";

// The system's own browser, told not to use the network and the machine's graphics.
const args = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  // All pages of a context share a process. Otherwise each context starts two: our pages isolate themselves
  // from the empty page (Cross-Origin-Opener-Policy), and starting one costs more than most tests do.
  "--renderer-process-limit=1",
];

// Tested once, at a phone's size: phone faults, and what needs no page of Newel.
const phoneOnly = ["offline.spec.ts", "letters.spec.ts", "unlock.spec.ts", "faults.spec.ts", "people.spec.ts", "versions.spec.ts", "logic.spec.ts", "markup.spec.ts", "sequence.spec.ts", "budget.spec.ts", "hands.spec.ts", "recorder.spec.ts", "sessionpages.spec.ts", "stories.spec.ts", "clocks.spec.ts", "measures.spec.ts"];

export default defineConfig({
  testDir: ".",
  outputDir: "results",
  snapshotDir: "results",
  fullyParallel: true,
  forbidOnly: true,
  retries: 0, // a test that needs a second attempt is telling us something
  workers: 2,
  reporter: [["list"]],
  timeout: 90_000,
  expect: { timeout: 15_000 },
  globalSetup: "./setup.ts",
  use: { launchOptions: { executablePath: chromiumQuick, args }, colorScheme: "light", reducedMotion: "reduce", locale: "en-GB" },
  projects: [
    { name: "phone", testIgnore: ["journey.spec.ts", "writing.spec.ts", "soak/**", "nu/**"], use: { viewport: { width: 320, height: 568 }, hasTouch: true, isMobile: true } },
    { name: "laptop", testIgnore: [...phoneOnly, "soak/**", "nu/**"], use: { viewport: { width: 1280, height: 800 } } },
  ],
});
