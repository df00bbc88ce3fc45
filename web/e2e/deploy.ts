import { createServer, request, type IncomingMessage, type Server, type ServerResponse } from "node:http";
import { type AddressInfo, type Socket } from "node:net";

/**
 * A server that is replaced by a different build of itself: a proxy in front of a running one. A different
 * build has different file names and does not know those of the previous one.
 */
export class Deploy {
  private build = "";
  private readonly sockets = new Set<Socket>();
  /** The response in place of the worker's script; undefined: the script. */
  worker: { status: number; body: string } | undefined;
  /** Paths requested since this build. */
  readonly asked: string[] = [];

  private constructor(
    private readonly server: Server,
    private readonly port: number,
    readonly url: string,
  ) {}

  static async of(target: string): Promise<Deploy> {
    let deploy: Deploy | undefined;
    const server = createServer((near, answer) => void deploy?.carry(near, answer));
    await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
    deploy = new Deploy(server, Number(new URL(target).port), `http://localhost:${(server.address() as AddressInfo).port}`);
    server.on("connection", (socket: Socket) => {
      deploy.sockets.add(socket);
      socket.on("close", () => deploy.sockets.delete(socket));
    });
    return deploy;
  }

  /** Replaces this build with another. */
  release(build: string): void {
    this.build = build;
    this.asked.length = 0;
  }

  /** A file's name in this build. */
  private named(text: string): string {
    return this.build === "" ? text : text.replace(/\b(phone|caregiver)-[A-Z0-9]{8}\.(js|css)/g, `$1-${this.build}.$2`);
  }

  private async carry(near: IncomingMessage, answer: ServerResponse): Promise<void> {
    const path = near.url ?? "/";
    this.asked.push(`${near.method ?? ""} ${path}`);
    if (path === "/sw.js" && this.worker) {
      answer.writeHead(this.worker.status, { "Content-Type": "text/javascript; charset=utf-8", "Cache-Control": "no-cache" }).end(this.worker.body);
      return;
    }
    const asset = /^\/assets\/(phone|caregiver)-([A-Z0-9]{8})\.(js|css)$/.exec(path);
    if (asset && this.build !== "" && asset[2] !== this.build) {
      answer.writeHead(404).end();
      return;
    }
    const real = asset && this.build !== "" ? await this.original(asset[1]!, asset[3]!) : path;
    const far = request({ host: "127.0.0.1", port: this.port, path: real, method: near.method, headers: { ...near.headers, "accept-encoding": "identity" } }, (came) => {
      const parts: Buffer[] = [];
      came.on("data", (part: Buffer) => parts.push(part));
      came.on("end", () => {
        let body = Buffer.concat(parts);
        const kind = came.headers["content-type"] ?? "";
        if (/text\/html|javascript|manifest/.test(kind)) body = Buffer.from(this.marked(path, this.named(body.toString("utf8"))));
        const { "content-length": _, "transfer-encoding": __, ...headers } = came.headers;
        answer.writeHead(came.statusCode ?? 502, headers).end(body);
      });
    });
    far.on("error", () => answer.destroy());
    near.pipe(far);
  }

  /** Marks a page with its build, and makes the worker a different one. */
  private marked(path: string, body: string): string {
    if (this.build === "") return body;
    if (path === "/sw.js") return body.replace(/^/, `/* ${this.build} */`).replace(/(NEWEL_SHELL\s*=\s*")/, `$1${this.build}`);
    return path.startsWith("/assets/phone-") ? `${body}\ndocument.documentElement.dataset.build=${JSON.stringify(this.build)};` : body;
  }

  private async original(name: string, kind: string): Promise<string> {
    const documents = await Promise.all(["/today", "/offline"].map(async (path) => (await fetch(`http://127.0.0.1:${this.port}${path}`)).text()));
    return new RegExp(`/assets/${name}-[A-Z0-9]{8}\\.${kind}`).exec(documents.join("\n"))?.[0] ?? "/";
  }

  /** Takes the server down. */
  cut(): void {
    this.sockets.forEach((s) => s.destroy());
  }

  async close(): Promise<void> {
    this.cut();
    await new Promise<void>((done) => this.server.close(() => done()));
  }
}

