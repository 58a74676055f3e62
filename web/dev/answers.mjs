// Made-up answers for the mock. None of the numbers is worked out.

const none = { tubes: [], at: null, act: null };
const row = (key, cells, more = {}) => ({ key, cells, ...none, ...more });
const T = (text) => ({ text });
const N = (number) => ({ number });
const finding = (level, word, what, more = {}) => ({ level, word, what, measure: null, help: null, tubes: [], at: null, line: null, ...more });
const page = (word, question, lead, findings, tables, cautions, method = word) => ({ word, question, lead, findings, tables, cautions, method });

export function pages(view) {
  const longest = view.tubes.slice(0, 9);
  return [
    page("shape", "What is the frame?", `${view.tubes.length} tubes, ${view.kg.toFixed(1)} kg of tube. Two points of the sides are decided to no better than they were sketched.`, [
      finding("look", "shape", "roof_diag passes roof at 3.2 mm without a joint", { measure: "3.2 mm; tubes nearer than 5 mm without a joint are named (limits.touch)", help: "join them, or move one of them 2 mm", tubes: ["roof_diag", "roof"] }),
      finding("note", "shape", "roof_diag is provisional", { measure: "drawn and weighed, not cut", tubes: ["roof_diag"] }),
    ], [
      { key: "tubes", title: "Tubes", note: "Over the long points of each piece.", columns: ["tube", "section", "length, mm", "kg"],
        rows: longest.map((t) => row(t.name, [T(t.name), T(t.section), N(t.length.replace(" mm", "")), N(t.mass.replace(" kg", ""))], { tubes: [t.name] })) },
      { key: "measures", title: "Measures", note: "", columns: ["measure", "mm", "wanted, mm"],
        rows: [row("belt", [T("belt bar over seat"), N("312.5"), T("least 300")]), row("wheelbase", [T("wheelbase"), N("1770.0"), T("1770 ± 2")])] },
    ], ["Welds are not weighed."]),
    page("stance", "How does it stand on its wheels?", "Laden it clears the ground by 142 mm, least under cross_mid. It drives over the hump, and scrapes on the kerb.", [
      finding("mend", "stance", "cross_mid scrapes on the kerb by 18 mm", { measure: "120 mm kerb, laden; clearance 0 wanted", help: "raise cross_mid 18 mm, or lower the kerb that is asked for", tubes: ["cross_mid"], at: [0.05, 0, -0.02] }),
    ], [
      { key: "axles", title: "Axle loads", note: "With everything on board.", columns: ["axle", "left, kg", "right, kg"], rows: [row("front", [T("front"), N("86.2"), N("86.2")]), row("rear", [T("rear"), N("131.0"), N("131.0")])] },
      { key: "over", title: "Driven over", note: "", columns: ["obstacle", "least clearance, mm"], rows: [row("hump", [T("hump"), N("61")], { act: { act: "drive", words: "drive over it", stance: "laden", over: "hump" } }), row("kerb", [T("kerb"), { over: "−18 scrapes" }], { act: { act: "drive", words: "drive over it", stance: "laden", over: "kerb" } })] },
    ], ["Tyres are taken as round and hard at their loaded radius."]),
    page("rollover", "What happens when it goes over?", "It rests on its roof, on either side, and on its nose with little margin. The helmet keeps 74 mm to soft ground.", [
      finding("mend", "rollover", "On its left side the arm is 12 mm into soft ground", { measure: "least 0 mm (limits.body)", help: "a tube from waist to hoop_shoulder would hold the ground off", tubes: ["side_upper"] }),
      finding("not-checked", "rollover", "Whether the driver can get out through the roof", { measure: "no opening is drawn there", help: "draw it as an [opening]" }),
    ], [
      { key: "rests", title: "How it comes to rest", note: "The margin is the least distance from the centre of gravity to an edge.", columns: ["it rests on", "margin, mm", "helmet to ground, mm"], rows: [
        row("roof", [T("its roof"), N("188"), N("74")], { tubes: ["main_hoop", "dash_hoop"], act: { act: "turn", words: "show it", down: [0.15, 0, 0.9887], ground: 1.02, way: [[0, 1, 0]] } }),
        row("left", [T("its left side"), N("142"), N("121")], { act: { act: "turn", words: "show it", down: [0, 0.94, 0.34], ground: 0.6, way: [] } }),
        row("nose", [T("its nose"), { over: "9 marginal" }, N("402")], { act: { act: "turn", words: "show it", down: [0.95, 0, 0.31], ground: 1.15, way: [] } }),
      ] },
      { key: "tumbles", title: "Tumbles", note: "2,000 random rollovers have not been run.", columns: ["it ends on", "how often"], rows: [row("t", [T("its roof"), { not_checked: "not run" }])] },
    ], ["Bodies are taken as rigid. People are not."]),
    page("strength", "Is it stiff and strong enough?", "Two answers are over their limits. One brace would mend both.", [
      finding("mend", "strength", "lower_stay~ buckles first", { measure: "roof case: at 0.91 of the wanted load; limit 1.00, linear buckling", help: "a tube from waist to nose_high would take 60 % of its load", tubes: ["lower_stay~", "lower_stay"] }),
      finding("mend", "strength", "Torsion 1,840 N·m per degree", { measure: "2,500 wanted; held at the rear pick-ups, twisted at the front", tubes: [] }),
      finding("look", "strength", "main_hoop, sideways: 11 mm of 25 mm", { measure: "student rules, alternative frame, main hoop", tubes: ["main_hoop"] }),
      finding("not-checked", "strength", "The joint of rail and main_hoop", { measure: "box width ratio outside the published range", tubes: ["rail", "main_hoop"] }),
    ], [
      { key: "loads", title: "Loads", note: "Largest use of the yield strength, and the largest way that anything moves.", columns: ["load", "use", "moves, mm"], rows: [
        row("corner", [T("corner"), N("0.62"), N("4.1")], { tubes: ["side_brace"], act: { act: "moved", words: "show it", load: "corner" } }),
        row("roof", [T("roof"), { over: "1.10 over" }, N("11.3")], { tubes: ["lower_stay~"], act: { act: "moved", words: "show it", load: "roof" } }),
      ] },
      { key: "candidates", title: "Tubes that would help most", note: "N·m per degree gained, and mass.", columns: ["between", "gained", "kg"], rows: [
        row("c1", [T("waist~ and nose_high"), N("+612"), N("1.4")], { act: { act: "edit", words: "add it", what: "added brace_1", edits: [{ edit: "add_tube", tube: "brace_1", section: "light", path: ["waist~", "nose_high"], before: null }] } }),
        row("c2", [T("hoop_foot and tail_high~"), N("+308"), N("1.1")], { act: { act: "edit", words: "add it", what: "added brace_2", edits: [{ edit: "add_tube", tube: "brace_2", section: "light", path: ["hoop_foot", "tail_high~"], before: null }] } }),
      ] },
    ], ["An ideal frame of elastic beams: it says nothing about the welds that are made.", "Whoever drives it decides with a licensed engineer."]),
    page("cutting", "What is each piece?", `${view.tubes.length - 1} pieces, 68 ends: 31 square, 29 with one set-up of the saw, 8 by template.`, [
      finding("look", "cutting", "side_upper: 48 mm of straight are too short for the clamp", { measure: "die hoop45 wants 60 mm between bends", tubes: ["side_upper"] }),
    ], [
      { key: "pieces", title: "Pieces", note: "In the order in which they go together.", columns: ["piece", "length, mm", "ends"], rows: view.tubes.slice(0, 16).map((t) => row(t.name, [T(t.name), N(t.length.replace(" mm", "")), T("cope, cope")], { tubes: [t.name], act: { act: "piece", piece: t.name } })) },
    ], []),
    page("stock", "Which stick does each piece come from?", "Everything comes out of 6 sticks, two of them to be bought. This is the fewest that are possible.", [], [
      { key: "sticks", title: "Sticks", note: "", columns: ["stick", "section", "used, mm", "left, mm"], rows: [row("A1", [T("A1"), T("rail"), N("5,412"), N("588")]), row("B1", [T("B1"), T("hoop"), N("5,730"), N("270")]), row("B2", [T("B2"), T("stay"), N("5,988"), N("12")])] },
    ], ["Lengths are those on the cutting page with the kerf and the trim of [rack]."]),
    page("jigs", "What holds it while it is welded?", "Eleven saddles, four stands, and six diagonals to check for square.", [], [
      { key: "diagonals", title: "Diagonals", note: "Equal within 1 mm if the frame is square.", columns: ["from", "to", "mm"], rows: [row("d1", [T("rail_front"), T("rail_rear~"), N("2,232.2")]), row("d2", [T("rail_front~"), T("rail_rear"), N("2,232.2")])] },
    ], []),
    page("build", "Where are we?", "Nine pieces are welded, three are cut. The next is dash_hoop.", [
      finding("look", "build", "side_post came out 1.5 mm short", { measure: "340.0 measured, 341.5 wanted, over long points", help: "move waist 1.5 mm down, or cut it again", tubes: ["side_post"] }),
    ], [], ["Only what was ticked on a phone is known here."]),
  ];
}

const picture = (bent) => `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 360 80" width="360" height="80"><g fill="none" stroke="currentColor" stroke-width="2"><path d="M12 14 Q30 40 12 66 L344 60 Q326 40 348 20 Z"/><path d="M20 26 L338 30" stroke-dasharray="6 4" stroke-width="1.4"/></g><text x="${bent ? 120 : 140}" y="22" font-size="12" fill="currentColor">scribe line</text></svg>`;

export function cards(view) {
  return view.tubes.filter((t) => t.state !== "provisional").map((t, i) => {
    const bent = t.bend_radius.length > 0;
    return {
      name: t.name, number: i + 1, side: t.twin ? "right side" : t.mirrored ? "left side" : "", section: `${t.section}, ${view.sections.find((s) => s.name === t.section)?.words ?? ""}`,
      stick: i % 5 === 4 ? "" : `stick ${"ABCD"[i % 4]}${1 + (i % 3)}`, length: t.length, length_words: bent ? "cut square, before bending" : "over long points", blank: parseFloat(t.length) / 1000,
      lengths: [["over short points", `${(parseFloat(t.length) - 21).toFixed(1)} mm`], ["between centres", `${(parseFloat(t.length) + 9).toFixed(1)} mm`]],
      ends: [
        { words: `start, at ${t.path[0]}`, angle: "51.5°", setups: ["45 saw · turn 0°"], batch: "set-up 7 of 12", shared: ["upper_stay~ start", "nose_post end"], simplest: "simplest: hole saw; leaves 0 mm", cuts: [{ setup: 7, tool: "hole saw 45 mm", set: "51.5°", end: "start", turn: "0°", back: "12.5 mm" }] },
        { words: `end, at ${t.path.at(-1)}`, angle: i % 3 ? "68°" : "square", setups: i % 3 ? ["38 saw · turn 112°", "then 38 saw at 20° · turn 292°"] : [], batch: i % 3 ? "set-up 9 of 12" : "", shared: [], simplest: "", cuts: [] },
      ],
      bends: bent ? [["bend", "mark, mm", "turn", "angle", "die"], ["1", "312.5", "0°", "54.0°", "hoop45"], ["2", "688.0", "12.5°", "36.0°", "hoop45"]] : [],
      bend_from: bent ? "start goes into the bender first" : "", picture: picture(bent),
      operations: ["cut", ...(bent ? ["bent"] : []), "notched", "tacked", "welded"], note: t.name === "rail" ? "Punch-mark every station from the front end before welding." : "",
    };
  });
}

export const unrolled = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 340 150"><g fill="none" stroke="currentColor"><path d="M10 130V40C60 10 100 90 170 60S280 10 330 40V130Z" stroke-width="1.6"/><path d="M90 130V20M170 130V20M250 130V20" stroke-dasharray="3 3" stroke-width=".7"/></g><g font-size="9" fill="currentColor"><text x="86" y="144">90°</text><text x="164" y="144">180°</text><text x="244" y="144">270°</text><text x="6" y="144">0°</text></g></svg>`;

export const stock = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 170">${["A1 rail", "B1 hoop", "B2 stay", "C1 light"].map((name, i) => {
  let x = 70;
  const cells = [120, 90, 140, 60 + 10 * i].map((w, k) => { const out = `<rect x="${x}" y="${12 + i * 38}" width="${w}" height="22" fill="none" stroke="currentColor"/><text x="${x + 5}" y="${27 + i * 38}" font-size="10" fill="currentColor">${["rail", "roof", "upper_stay", "tail"][k]}</text>`; x += w; return out; }).join("");
  return `<text x="4" y="${27 + i * 38}" font-size="11" fill="currentColor">${name}</text>${cells}<rect x="${x}" y="${12 + i * 38}" width="${570 - x}" height="22" fill="none" stroke="currentColor" stroke-dasharray="4 3"/>`;
}).join("")}</svg>`;

export function moved(view, load) {
  return {
    scale: 40,
    tubes: view.tubes.map((t) => ({ name: t.name, line: t.line, moved: t.line.map(([x, y, z]) => [0.0004 * Math.sin(3 * x), load === "roof" ? -0.0028 * z * z : 0.002 * z, -0.0006 * z * z]), use: t.line.map((p, i) => Math.abs(Math.sin(i + 4 * p[0] + p[2] * 3))) })),
  };
}

export const method = (name) => `# ${name[0].toUpperCase()}${name.slice(1)}: a made-up page of the methods

## The question

How is this worked out? For each joint the stiffness is $K u = f$, or in words: what pushes divided by how it gives.

## The method

- Joints are **nodes** with six freedoms.
- Tubes are beams between the nodes along them.

| checked against | worst difference |
| --- | --- |
| a cantilever, by hand | 1e-12 |
| a portal frame from a textbook | 3e-9 |

\`\`\`
u = F L³ / (3 E I)
\`\`\`
`;
