// Messages between this page and the shell (PageBridge.kt), as JSON text over a port that the
// shell hands over.

const pendingReplies = new Map(); // by the id of the message
let lastId = 0;

// A greeting that was meant for the page before this one may still arrive here; the token tells.
const token = crypto.randomUUID();

const port = new Promise((resolve) => {
  // Only the shell can send a port here: the page is in no frame, has none, and opens no windows.
  addEventListener("message", function greet(event) {
    if (event.ports.length !== 1) return;
    const greeting = JSON.parse(event.data);
    if (greeting.token !== token) return;
    removeEventListener("message", greet);
    const [received] = event.ports;
    received.onmessage = ({ data }) => receive(JSON.parse(data));
    receive(greeting);
    resolve(received);
  });
});

function receive(message) {
  if (message.kind === "hello") whenParsed(() => restoreDraft(message.draft));
  else if (message.kind === "step") whenParsed(() => followLink(message.to));
  else pendingReplies.get(message.id)?.(message);
}

async function send(message) {
  (await port).postMessage(JSON.stringify(message));
}

/** Sends a form to the shell, and resolves to its reply. */
function submit(form) {
  const id = (lastId += 1);
  const reply = new Promise((resolve) => pendingReplies.set(id, resolve));
  send({ kind: "submit", id, ...form });
  return reply.finally(() => pendingReplies.delete(id));
}

/** Asks the shell for a port. */
function announce() {
  browserFetch(`/shell/hello?${new URLSearchParams({ page: location.pathname, token })}`);
}
