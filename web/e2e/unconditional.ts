import type { APIResponse, Route } from "@playwright/test";

/**
 * The server's whole answer to a request that a test changes on its way: without If-None-Match, which would make it
 * empty where nothing has changed. Waits forever if the test ends in the meantime.
 */
export function unconditional(route: Route): Promise<APIResponse> {
  const headers = { ...route.request().headers() };
  delete headers["if-none-match"];
  return route.fetch({ headers }).catch(() => new Promise<never>(() => undefined));
}
