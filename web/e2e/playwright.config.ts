import { defineConfig } from "@playwright/test";

const chromium = process.env["PLAYWRIGHT_CHROMIUM"] ?? "/usr/bin/chromium";

// The system's own browser, told to leave the network and the machine's graphics alone.
const args = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

export default defineConfig({
  testDir: ".",
  outputDir: "results",
  snapshotDir: "results",
  fullyParallel: true,
  forbidOnly: true,
  retries: 0,
  workers: 2,
  reporter: [["list"]],
  timeout: 90_000,
  expect: { timeout: 15_000 },
  globalSetup: "./setup.ts",
  use: { launchOptions: { executablePath: chromium, args }, colorScheme: "light", reducedMotion: "reduce", locale: "en-GB" },
  projects: [
    { name: "phone", testIgnore: ["journey.spec.ts", "soak/**"], use: { viewport: { width: 320, height: 568 }, hasTouch: true, isMobile: true } },
    // The phone's faults are tried once.
    { name: "laptop", testIgnore: ["offline.spec.ts", "faults.spec.ts", "soak/**"], use: { viewport: { width: 1280, height: 800 } } },
  ],
});
