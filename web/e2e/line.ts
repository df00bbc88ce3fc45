import { connect, createServer, type AddressInfo, type Server, type Socket } from "node:net";
import { setTimeout as pause } from "node:timers/promises";

/** The connection between a phone and the server, which can be cut: a TCP proxy. */
export class Line {
  private readonly open = new Set<Socket>();
  private cut = false;
  /** Lets a request through and drops its answer. */
  swallow = false;
  /** Cuts the connection at a request that begins like this; others get through. */
  refuse: RegExp | undefined;
  /** Bytes per second toward the server; 0: unlimited. */
  speed = 0;
  /** Bytes received from the server. */
  received = 0;
  /** Requests that have reached the server, by their first lines. */
  readonly asked: string[] = [];

  private constructor(
    private readonly server: Server,
    readonly url: string,
  ) {}

  /** A connection to a server on this machine. */
  static async to(target: string): Promise<Line> {
    const port = Number(new URL(target).port);
    let line: Line | undefined;
    const server = createServer((near) => {
      if (line && !line.cut) line.join(near, port);
      else near.destroy();
    });
    await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
    line = new Line(server, `http://localhost:${(server.address() as AddressInfo).port}`);
    return line;
  }

  private join(near: Socket, port: number): void {
    const far = connect(port, "127.0.0.1");
    for (const s of [near, far]) {
      this.open.add(s);
      s.on("error", () => undefined);
      s.on("close", () => {
        this.open.delete(s);
        near.destroy();
        far.destroy();
      });
    }
    let turn = Promise.resolve();
    near.on("data", (chunk: Buffer) => {
      const first = /^(?:GET|PUT|POST) \S+/.exec(chunk.toString("latin1", 0, 300))?.[0];
      if (first && this.refuse?.test(first)) {
        near.destroy();
        return;
      }
      if (first) this.asked.push(first);
      if (this.speed === 0) far.write(chunk);
      else turn = turn.then(() => this.trickle(chunk, far));
    });
    far.on("data", (chunk: Buffer) => {
      this.received += chunk.length;
      if (this.swallow) near.destroy();
      else near.write(chunk);
    });
  }

  private async trickle(chunk: Buffer, far: Socket): Promise<void> {
    const step = Math.max(1, Math.round(this.speed / 10));
    for (let at = 0; at < chunk.length && far.writable; at += step) {
      far.write(chunk.subarray(at, at + step));
      await pause(100);
    }
  }

  /** Cuts it: what is in flight dies, and nothing new gets through. */
  down(): void {
    this.cut = true;
    this.open.forEach((s) => s.destroy());
  }

  up(): void {
    this.cut = false;
  }

  async close(): Promise<void> {
    this.down();
    await new Promise<void>((done) => this.server.close(() => done()));
  }
}
