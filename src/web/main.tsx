// Where the pages begin.
import { render } from "preact";
import { keepFiles } from "./frame/keep-files.ts";
import { openLook } from "./frame/look.ts";
import { path } from "./frame/route.ts";
import { signedInPerson } from "./frame/session.ts";
import { type Area, areaAt, Shell } from "./frame/shell.tsx";
import { learnDesks, openWords } from "./frame/words.ts";

/** An area whose words a rider never needs. */
const atDesk = (load: Area["load"]) => async () => (await Promise.all([load(), learnDesks()]))[0];

const areas: readonly Area[] = [
  { name: "walk", roles: ["rider", "mechanic"], load: () => import("./walk/index.tsx") },
  { name: "board", roles: ["manager", "auditor", "mechanic"], load: atDesk(() => import("./board/index.tsx")) },
  { name: "bench", roles: ["mechanic", "manager", "auditor"], load: atDesk(() => import("./bench/index.tsx")) },
  { name: "audit", roles: ["auditor", "manager"], load: atDesk(() => import("./audit/index.tsx")) },
  { name: "costs", roles: ["manager", "auditor"], load: atDesk(() => import("./costs/index.tsx")) },
];

openLook();
keepFiles();
const page = document.getElementById("page");
const words = openWords();
const person = signedInPerson();
// Loaded together with the words, since every round trip is felt on a poor link. If it fails, the page says so itself.
if (person)
  areaAt(areas, person, path.get()[0])
    ?.load()
    .catch(() => undefined);
if (page) {
  void words.then((spoken) =>
    // Without words in any language a sign has to do.
    render(spoken ? <Shell areas={areas} /> : <a href="/">Ferrule ↻</a>, page),
  );
}
