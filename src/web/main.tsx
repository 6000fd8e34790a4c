// Where the pages begin.
import { render } from "preact";
import { keepFiles } from "./frame/keep-files.ts";
import { openLook } from "./frame/look.ts";
import { path } from "./frame/route.ts";
import { signedInPerson } from "./frame/session.ts";
import { type Area, areaAt, Shell } from "./frame/shell.tsx";
import { openWords } from "./frame/words.ts";

const areas: readonly Area[] = [
  { name: "walk", roles: ["rider", "mechanic"], load: () => import("./walk/index.tsx") },
  { name: "board", roles: ["manager", "auditor", "mechanic"], load: () => import("./board/index.tsx") },
  { name: "bench", roles: ["mechanic", "manager", "auditor"], load: () => import("./bench/index.tsx") },
  { name: "audit", roles: ["auditor", "manager"], load: () => import("./audit/index.tsx") },
];

openLook();
keepFiles();
const page = document.getElementById("page");
const person = signedInPerson();
// Loaded together with the words, since every round trip is felt on a poor link. If it fails, the page says so itself.
if (person)
  areaAt(areas, person.role, path.get()[0])
    ?.load()
    .catch(() => undefined);
if (page) {
  void openWords().then((spoken) =>
    // Without words in any language a sign has to do.
    render(spoken ? <Shell areas={areas} /> : <a href="/">Ferrule ↻</a>, page),
  );
}
