// A TCP proxy between two programs that a test can stall: then no data passes until it resumes.

import { connect, createServer } from "node:net";
import { once } from "node:events";

export class StallingProxy {
  /** Starts a proxy to a port of this computer; `port` is its own. */
  static async to(port) {
    const proxy = new StallingProxy();
    proxy.open = Promise.resolve();
    proxy.bytesLeft = Infinity;
    proxy.server = createServer((client) => proxy.join(client, connect(port, "127.0.0.1")));
    proxy.server.listen(0, "127.0.0.1");
    await once(proxy.server, "listening");
    proxy.port = proxy.server.address().port;
    return proxy;
  }

  join(client, server) {
    for (const [from, to] of [[client, server], [server, client]]) {
      from.on("data", async (bytes) => {
        from.pause();
        this.bytesLeft -= bytes.length;
        if (this.bytesLeft < 0) this.stall();
        await this.open;
        to.write(bytes);
        from.resume();
      });
      from.on("end", () => to.end());
      from.on("error", () => to.destroy());
    }
  }

  /** Stalls once this many more bytes have passed, in both directions together. */
  stallAfter(bytes) {
    this.bytesLeft = bytes;
  }

  stall() {
    this.bytesLeft = Infinity;
    this.open = new Promise((resolve) => (this.release = resolve));
  }

  /** Lets data pass again. */
  resume() {
    this.bytesLeft = Infinity;
    this.release?.();
    this.open = Promise.resolve();
  }

  close() {
    this.resume();
    this.server.close();
  }
}
