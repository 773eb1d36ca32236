// Solve the published networks with EPANET and time it. See README.md.
import { Project, Workspace } from "epanet-js";
import { readFileSync } from "node:fs";
import { join } from "node:path";

console.warn = () => {}; // "pumps cannot deliver" of cases with a pump pushed off: their answer is wanted
const folder = process.argv[2];


function inp(file, c, above) {
  const base = c.manifold_elevation_m;
  const shore = above ? base + c.shore_static_m : c.shore_static_m;
  const out = ["[JUNCTIONS]", ` M ${base} 0`];
  c.pumps.forEach((_, i) => out.push(` S${i} 0 0`, ` D${i} 0 0`));
  out.push("[RESERVOIRS]", ` SHORE ${shore}`);
  c.pumps.forEach((p, i) => out.push(` T${i} ${p.source_head_m}`));
  const minor = (k) => k / 0.637189739; // of a 600 mm pipe with EPANET's own constants, as measured in epanet-library.json
  out.push("[PIPES]");
  c.pumps.forEach((p, i) => {
    out.push(` PS${i} T${i} S${i} 0.001 600 1000 ${minor(p.k_suction)} Open`);
    out.push(` PR${i} D${i} M 0.001 600 1000 ${minor(p.k_riser)} CV`);
  });
  out.push(` LINE M SHORE 0.001 600 1000 ${minor(c.k_shore)} Open`, "[PUMPS]");
  c.pumps.forEach((p, i) => {
    const rated = p.rated_speed_rpm ?? file.curves[p.curve].rated_speed_rpm;
    out.push(` P${i} S${i} D${i} HEAD ${p.curve} SPEED ${p.speed_rpm / rated || 1}`);
  });
  const stopped = c.pumps.map((p, i) => [p, i]).filter(([p]) => p.speed_rpm === 0);
  if (stopped.length) out.push("[STATUS]", ...stopped.map(([, i]) => ` P${i} Closed`));
  out.push("[CURVES]");
  for (const name of new Set(c.pumps.map((p) => p.curve)))
    file.curves[name].q_m3h.forEach((q, k) => out.push(` ${name} ${q} ${file.curves[name].h_m[k]}`));
  out.push("[OPTIONS]", " Units CMH", " Headloss H-W", " Accuracy 1e-9", " Trials 200", "[TIMES]", " Duration 0", "[END]");
  return out.join("\n");
}

let worst = 0, cases = 0, spent = 0;
const repeats = 200;
for (const [name, above] of [["epanet.json", false], ["epanet-library.json", true]]) {
  const file = JSON.parse(readFileSync(join(folder, name)));
  for (const c of file.cases) {
    const ws = new Workspace();
    await ws.loadModule();
    const model = new Project(ws);
    ws.writeFile("net.inp", inp(file, c, above));
    model.open("net.inp", "net.rpt", "net.bin");
    model.openH();
    const begin = process.hrtime.bigint();
    for (let i = 0; i < repeats; i++) { model.initH(10); model.runH(); }
    spent += Number(process.hrtime.bigint() - begin) / 1e3 / repeats;
    cases++;
    c.pumps.forEach((_, i) => {
      const q = model.getLinkValue(model.getLinkIndex(`P${i}`), 8);
      worst = Math.max(worst, Math.abs(q - c.expect.flow_m3h[i]) / Math.max(c.expect.total_m3h, 1));
    });
    model.closeH();
    model.close();
  }
}
console.log(`${"EPANET (epanet-js)".padEnd(28)} ${(spent / cases).toFixed(2).padStart(12)} ${worst.toExponential(2).padStart(26)}`);
