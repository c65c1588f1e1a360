// The smoke, drawn from what the program says of each moment: how opaque the plume is and how much of it comes. Whoever wants less motion
// gets the same plume as a still haze.

const MOST = 260;

export class Smoke {
  #canvas; #paint; #puffs = []; #opacity = 0; #puff = 0; #throttle = 0; #last = 0; #calm; #due = 0; #haze = 0; #soft;

  constructor(canvas) {
    this.#canvas = canvas;
    this.#paint = canvas.getContext("2d");
    this.#soft = document.createElement("canvas");
    this.#soft.width = this.#soft.height = 64;
    const soft = this.#soft.getContext("2d"), shade = soft.createRadialGradient(32, 32, 2, 32, 32, 32);
    shade.addColorStop(0, "rgb(240 240 236)");
    shade.addColorStop(0.55, "rgb(240 240 236 / 0.7)");
    shade.addColorStop(1, "rgb(240 240 236 / 0)");
    soft.fillStyle = shade;
    soft.fillRect(0, 0, 64, 64);
    this.#calm = matchMedia("(prefers-reduced-motion: reduce)");
  }

  // The throttle tells how hard the gas leaves: the plume stretches.
  see(opacity, puff, running, throttle) {
    this.#opacity = opacity;
    this.#puff = puff;
    this.#throttle = running ? 0.2 + 0.8 * throttle : 0;
  }

  draw(now) {
    const { width, height } = this.#canvas, paint = this.#paint;
    const seconds = Math.min(0.1, (now - this.#last) / 1000);
    this.#last = now;
    paint.clearRect(0, 0, width, height);
    const x = 0.885 * height * (320 / 150) * 0.62, y = height - 0.62 * height * 0.605;
    if (this.#calm.matches) return this.#still(x, y, seconds);
    this.#due += seconds * (this.#puff > 0.05 ? Math.min(110, 18 + 6 * this.#puff) : 0);
    while (this.#due >= 1) {
      this.#due -= 1;
      if (this.#puffs.length >= MOST) this.#puffs.shift();
      const speed = (90 + 420 * this.#throttle) * (0.8 + 0.4 * Math.random());
      this.#puffs.push({ x, y, age: 0, speed, rise: 10 + 30 * Math.random(), drift: 26 * (Math.random() - 0.5), size: 5 + 5 * Math.random(), dark: this.#opacity });
    }
    this.#puffs = this.#puffs.filter((puff) => puff.age < 2.6);
    for (const puff of this.#puffs) {
      puff.age += seconds;
      puff.speed *= Math.exp(-1.1 * seconds);
      puff.x += puff.speed * seconds;
      puff.y -= (puff.rise + puff.drift) * seconds * Math.min(1.5, puff.age + 0.3);
      puff.size += 34 * seconds;
      const thin = Math.min(0.85, 1.15 * puff.dark) * (1 - puff.age / 2.6) ** 1.5;
      const radius = 1.25 * puff.size;
      paint.globalAlpha = thin;
      paint.drawImage(this.#soft, puff.x - radius, puff.y - radius, 2 * radius, 2 * radius);
    }
    paint.globalAlpha = 1;
  }

  #still(x, y, seconds) {
    const aim = this.#puff > 0.05 ? this.#opacity : 0;
    this.#haze += (aim - this.#haze) * Math.min(1, 2 * seconds);
    if (this.#haze < 0.005) return;
    const paint = this.#paint, long = this.#canvas.width - x;
    const shade = paint.createLinearGradient(x, y, x + long, y);
    shade.addColorStop(0, `rgb(240 240 236 / ${Math.min(0.9, 1.8 * this.#haze).toFixed(3)})`);
    shade.addColorStop(1, "rgb(240 240 236 / 0)");
    paint.fillStyle = shade;
    paint.beginPath();
    paint.moveTo(x, y - 6);
    paint.quadraticCurveTo(x + long / 2, y - 60, x + long, y - 150);
    paint.lineTo(x + long, y + 60);
    paint.quadraticCurveTo(x + long / 2, y + 30, x, y + 6);
    paint.fill();
  }
}
