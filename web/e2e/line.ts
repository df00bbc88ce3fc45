import { connect, createServer, type AddressInfo, type Server, type Socket } from "node:net";

/** The line between a phone and the server, which can be cut: a TCP proxy. */
export class Line {
  private readonly open = new Set<Socket>();
  private cut = false;
  /** Lets a request through and drops its answer. */
  swallow = false;

  private constructor(
    private readonly server: Server,
    readonly url: string,
  ) {}

  /** A line to a server on this machine. */
  static async to(target: string): Promise<Line> {
    const port = Number(new URL(target).port);
    let line: Line | undefined;
    const server = createServer((near) => {
      if (!line || line.cut) {
        near.destroy();
        return;
      }
      const far = connect(port, "127.0.0.1");
      for (const s of [near, far]) {
        line.open.add(s);
        s.on("error", () => undefined);
        s.on("close", () => {
          line?.open.delete(s);
          near.destroy();
          far.destroy();
        });
      }
      near.pipe(far);
      far.on("data", (chunk) => {
        if (line?.swallow) near.destroy();
        else near.write(chunk);
      });
    });
    await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
    line = new Line(server, `http://localhost:${(server.address() as AddressInfo).port}`);
    return line;
  }

  /** Cuts it: what is under way dies, nothing new gets through. */
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
