// The engine as it is drawn, from its air filter to the end of its pipe, for whoever watches the smoke come out of that.

const SHAPES = [
  ["rect", { x: 34, y: 86, width: 58, height: 44, rx: 6 }],
  ["rect", { x: 40, y: 44, width: 46, height: 7, rx: 3 }],
  ["rect", { x: 38, y: 54, width: 50, height: 7, rx: 3 }],
  ["rect", { x: 38, y: 64, width: 50, height: 7, rx: 3 }],
  ["rect", { x: 40, y: 74, width: 46, height: 9, rx: 3 }],
  ["rect", { x: 58, y: 32, width: 10, height: 12, rx: 2 }],
  ["circle", { cx: 63, cy: 110, r: 15, class: "dark" }],
  ["circle", { cx: 63, cy: 110, r: 4 }],
  ["rect", { x: 8, y: 88, width: 26, height: 18, rx: 4 }],
  ["rect", { x: 2, y: 84, width: 8, height: 26, rx: 3 }],
  ["path", { d: "M92 92 q26 -2 30 -24 q3 -16 22 -16 l14 0 l0 14 l-12 0 q-10 0 -12 12 q-4 26 -42 26 z" }],
  ["path", { d: "M158 51 l18 -7 q44 -9 70 0 l14 10 l20 2 l0 7 l-20 2 l-14 10 q-26 9 -70 0 l-18 -7 z" }],
];

export function drawEngine(svg) {
  svg.classList.add("metal");
  for (const [shape, attributes] of SHAPES) {
    const part = document.createElementNS(svg.namespaceURI, shape);
    for (const [name, value] of Object.entries(attributes)) part.setAttribute(name, value);
    svg.append(part);
  }
}
