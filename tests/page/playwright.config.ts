import { defineConfig } from "@playwright/test";
import { tmpdir } from "node:os";
import { join } from "node:path";

export default defineConfig({
    testDir: ".",
    outputDir: join(tmpdir(), "vitalproof-page-tests"),
    timeout: 90_000,
    workers: 1,
    use: {
        viewport: { width: 1280, height: 860 },
        launchOptions: { executablePath: "/usr/bin/chromium", args: ["--no-sandbox"] },
        acceptDownloads: true,
    },
});
