import type { APIRequestContext, APIResponse } from "@playwright/test";

/** One page as the server sent it. */
export interface Found {
  who: string;
  path: string;
  status: number;
  html: string;
}

/** The maximum number of pages of a kind: a kind is an address without its ids and values. */
const OF_A_KIND = 2;

/** Follows every link from the start pages on, and returns the pages that are HTML. */
export async function crawl(who: string, request: APIRequestContext, start: string[]): Promise<Found[]> {
  const found: Found[] = [];
  const kinds = new Map<string, number>();
  const done = new Set<string>();
  const queue = [...start];
  for (let path = queue.shift(); path !== undefined; path = queue.shift()) {
    const kind = path.replace(/[0-9a-f]{8}-[0-9a-f-]{27}/g, ":id").replace(/=[^&]*/g, "=");
    const before = kinds.get(kind) ?? 0;
    if (done.has(path) || before === OF_A_KIND) continue;
    done.add(path);
    kinds.set(kind, before + 1);
    const answer = await request.get(path, { headers: { accept: "text/html" } });
    const landed = address(answer);
    if (landed !== path && done.has(landed)) continue;
    done.add(landed);
    const page = await asFound(who, landed, answer);
    if (!page) continue;
    found.push(page);
    queue.push(...links(page.html, answer.url()));
  }
  return found;
}

/** Sends the first form of a page that fits, filled in like this, and returns the page that answers. */
export async function send(who: string, request: APIRequestContext, from: string, action: RegExp, fields: Record<string, string>): Promise<Found> {
  const html = await (await request.get(from, { headers: { accept: "text/html" } })).text();
  const forms = [...html.matchAll(/<form[^>]*action="([^"]*)"[^>]*>([^]*?)<\/form>/g)];
  const form = forms.find((f) => action.test(f[1] ?? ""));
  if (!form) throw new Error(`${from} has no form that goes to ${action}`);
  const token = /name="form_token" value="([^"]*)"/.exec(form[2] ?? "")?.[1] ?? "";
  const answer = await request.post(form[1] ?? "", { form: { form_token: token, ...fields }, headers: { accept: "text/html", "sec-fetch-site": "same-origin" } });
  const page = await asFound(who, `${address(answer)} (after a form)`, answer);
  if (!page) throw new Error(`${form[1]} answered with something other than a page`);
  return page;
}

async function asFound(who: string, path: string, answer: APIResponse): Promise<Found | undefined> {
  if (!(answer.headers()["content-type"] ?? "").startsWith("text/html")) return undefined;
  return { who, path, status: answer.status(), html: await answer.text() };
}

function address(answer: APIResponse): string {
  const { pathname, search } = new URL(answer.url());
  return pathname + search;
}

/** The addresses that a page links to, without assets and event streams. */
function links(html: string, base: string): string[] {
  const all = [...html.matchAll(/href="([^"#]+)/g)].map((m) => new URL((m[1] ?? "").replaceAll("&amp;", "&"), base));
  return all.filter((u) => u.origin === new URL(base).origin && !/^\/assets\/|\/live$/.test(u.pathname)).map((u) => u.pathname + u.search);
}
