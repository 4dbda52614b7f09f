// Programs that a test starts: their first word, and their end.

/** The first JSON value that a program prints. */
export function firstValue(running, what) {
  return new Promise((resolve, reject) => {
    let text = "";
    let complaint = "";
    const fail = (why) => reject(new Error(`${what} ${why}. ${complaint}`));
    const late = setTimeout(() => fail("said no address within 120 s"), 120_000);
    const settle = (done, value) => {
      clearTimeout(late);
      done(value);
    };
    running.stderr.on("data", (more) => (complaint += more));
    running.stdout.on("data", (more) => {
      text += more;
      try {
        settle(resolve, JSON.parse(text));
      } catch {
        // Not all of it yet.
      }
    });
    running.once("exit", (code) => settle(fail, `ended with ${code}`));
  });
}

/** Waits for a program's end. */
export function ended(running) {
  if (running.exitCode !== null || running.signalCode !== null) return Promise.resolve();
  return new Promise((resolve) => running.once("exit", resolve));
}
