// Processes that a test starts.

/** Resolves to the first JSON value that a process prints. */
export function firstJson(child, name) {
  return new Promise((resolve, reject) => {
    let output = "";
    let errorOutput = "";
    const fail = (reason) => reject(new Error(`${name} ${reason}. ${errorOutput}`));
    const timer = setTimeout(() => fail("printed no address within 120 s"), 120_000);
    const finish = (settle, value) => {
      clearTimeout(timer);
      settle(value);
    };
    child.stderr.on("data", (chunk) => (errorOutput += chunk));
    child.stdout.on("data", (chunk) => {
      output += chunk;
      try {
        finish(resolve, JSON.parse(output));
      } catch {
        // Not complete yet.
      }
    });
    child.once("exit", (code) => finish(fail, `exited with ${code}`));
  });
}

/** Waits until a process has exited. */
export function exited(child) {
  if (child.exitCode !== null || child.signalCode !== null) return Promise.resolve();
  return new Promise((resolve) => child.once("exit", resolve));
}
