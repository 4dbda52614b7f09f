// The network between two programs, in the test's hand: all passes until it holds, and then nothing does until it is let go.

import { connect, createServer } from "node:net";
import { once } from "node:events";

export class Wire {
  /** A wire to a port of this computer; `port` is where it begins. */
  static async to(port) {
    const wire = new Wire();
    wire.free = Promise.resolve();
    wire.left = Infinity;
    wire.server = createServer((near) => wire.join(near, connect(port, "127.0.0.1")));
    wire.server.listen(0, "127.0.0.1");
    await once(wire.server, "listening");
    wire.port = wire.server.address().port;
    return wire;
  }

  join(near, far) {
    for (const [from, to] of [[near, far], [far, near]]) {
      from.on("data", async (bytes) => {
        from.pause();
        this.left -= bytes.length;
        if (this.left < 0) this.hold();
        await this.free;
        to.write(bytes);
        from.resume();
      });
      from.on("end", () => to.end());
      from.on("error", () => to.destroy());
    }
  }

  /** Holds as soon as so many more bytes have passed, in both directions together. */
  holdAfter(bytes) {
    this.left = bytes;
  }

  hold() {
    this.left = Infinity;
    this.free = new Promise((resolve) => (this.release = resolve));
  }

  /** Lets all pass again. */
  letGo() {
    this.left = Infinity;
    this.release?.();
    this.free = Promise.resolve();
  }

  cut() {
    this.letGo();
    this.server.close();
  }
}
