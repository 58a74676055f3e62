// A program that serves a copy of a demo design, and a browser that looks at it.

import { spawn } from "node:child_process";
import { cpSync, existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

export const root = join(dirname(fileURLToPath(import.meta.url)), "../..");

/** Longer than anything takes on a loaded machine. */
export const LONG = 60_000;

/** Serves a copy of a demo design in a folder of its own. */
export class House {
  static async open(program, design, more = []) {
    const folder = mkdtempSync(join(tmpdir(), "tubewright-page-"));
    const file = join(folder, `${design}.toml`);
    cpSync(join(root, "examples", `${design}.toml`), file);
    const beside = join(root, "examples", design);
    if (existsSync(beside)) cpSync(beside, join(folder, design), { recursive: true });
    const house = new House(program, folder, file, more);
    await house.start();
    return house;
  }

  constructor(program, folder, file, more) {
    Object.assign(this, { program, folder, file, more, port: 0 });
  }

  async start() {
    const args = ["open", this.file, "--quiet", "--port", String(this.port), ...this.more];
    this.child = spawn(this.program, args, { stdio: ["ignore", "pipe", "pipe"] });
    this.said = "";
    await new Promise((resolve, reject) => {
      const late = setTimeout(() => reject(new Error(`not open after ${LONG} ms: ${this.said}`)), LONG);
      const hear = (bytes) => {
        this.said += bytes;
        const link = /is open at (http:\S+)/.exec(this.said);
        if (link) {
          clearTimeout(late);
          this.link = link[1];
          this.port = new URL(this.link).port;
          resolve();
        }
      };
      this.child.stdout.on("data", hear);
      this.child.stderr.on("data", hear);
      this.child.on("exit", (code) => reject(new Error(`ended with ${code}: ${this.said}`)));
    });
  }

  /** Kills it, as a power cut would. */
  async kill() {
    const ended = new Promise((resolve) => this.child.once("exit", resolve));
    this.child.kill("SIGKILL");
    await ended;
  }

  async close() {
    if (this.child.exitCode === null && this.child.signalCode === null) await this.kill();
    rmSync(this.folder, { recursive: true, force: true });
  }
}

/** Opens pages, and notes what goes wrong in them. */
export class Eyes {
  static async open() {
    const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox"] });
    return new Eyes(browser);
  }

  constructor(browser) {
    this.browser = browser;
    this.wrong = [];
  }

  async look(link, { width = 1440, height = 900, ...more } = {}) {
    const context = await this.browser.newContext({ viewport: { width, height }, reducedMotion: "reduce", ...more });
    context.setDefaultTimeout(LONG);
    const page = await context.newPage();
    page.on("pageerror", (e) => this.wrong.push(`${link}: ${e.message}`));
    page.on("console", (m) => {
      // A line that is cut on purpose is told by the browser, too.
      if (m.type() === "error" && !/ERR_|Failed to load|WebSocket/.test(m.text())) this.wrong.push(`${link}: ${m.text()}`);
    });
    await page.goto(link);
    return page;
  }

  async close() {
    await this.browser.close();
  }
}

/** Waits until something holds. */
export async function until(what, is) {
  const end = Date.now() + LONG;
  for (;;) {
    const got = await is();
    if (got) return got;
    if (Date.now() > end) throw new Error(`never: ${what}`);
    await new Promise((r) => setTimeout(r, 30));
  }
}
