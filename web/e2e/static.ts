import { createServer, type Server } from "node:http";
import { readFile } from "node:fs/promises";
import { extname, join, normalize } from "node:path";
import type { AddressInfo } from "node:net";

const types: Record<string, string> = {
  ".html": "text/html; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
};

/** The policy that the real server sends: only our own files. */
const policy =
  "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data:; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";

export interface StaticServer {
  url: string;
  close(): Promise<void>;
}

/** Serves a folder on a free port. */
export async function serveFolder(folder: string): Promise<StaticServer> {
  const server: Server = createServer((request, response) => {
    const path = normalize(new URL(request.url ?? "/", "http://x").pathname);
    readFile(join(folder, path)).then(
      (body) => {
        response.writeHead(200, {
          "Content-Type": types[extname(path)] ?? "application/octet-stream",
          "Content-Security-Policy": policy,
        });
        response.end(body);
      },
      () => {
        response.writeHead(404);
        response.end();
      },
    );
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  const { port } = server.address() as AddressInfo;
  return {
    url: `http://127.0.0.1:${port}`,
    close: () => new Promise((done) => server.close(() => done())),
  };
}
