// The line to the program: one socket, opened again with the token of this page when it was cut, so that the practice goes on where it
// stood. The token lives in this page's memory alone.

const AGAIN_MS = [200, 500, 1000, 2000, 4000];

export class Line {
  #rate; #token = null; #socket = null; #tries = 0; #over = false; #told;

  // `told` is handed every message by its kind; `sound` every block; `open` whether the line is open, or why not.
  constructor(rate, told) {
    this.#rate = rate;
    this.#told = told;
    this.#connect();
    addEventListener("pagehide", () => this.close());
  }

  #connect() {
    const socket = new WebSocket(`ws://${location.host}/socket`);
    socket.binaryType = "arraybuffer";
    socket.addEventListener("open", () => {
      this.#tries = 0;
      socket.send(JSON.stringify({ ask: "hello", rate_hz: this.#rate, ...(this.#token && { token: this.#token }) }));
      this.#told.open(true, "");
    });
    socket.addEventListener("message", (event) => {
      if (event.data instanceof ArrayBuffer) return this.#told.sound(event.data);
      const { told, ...rest } = JSON.parse(event.data);
      if (told === "welcome") this.#token = rest.token;
      this.#told[told]?.(rest);
    });
    socket.addEventListener("close", (event) => {
      if (this.#over) return;
      // What was closed with words was closed on purpose.
      const meant = event.code !== 1006 && event.reason !== "";
      const words = meant ? event.reason : "The line to the program is cut; the practice stands still.";
      this.#told.open(false, words);
      if (meant) return;
      setTimeout(() => this.#connect(), AGAIN_MS[Math.min(this.#tries++, AGAIN_MS.length - 1)]);
    });
    this.#socket = socket;
  }

  ask(ask) {
    if (this.#socket.readyState === WebSocket.OPEN) this.#socket.send(JSON.stringify(ask));
  }

  close() {
    this.#over = true;
    this.#socket.close(1001);
  }

  // For a test: cuts the line without a word.
  cut() {
    this.#socket.close(4999);
  }
}
