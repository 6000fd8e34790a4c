// Where the pages begin.
import { render } from "preact";
import { keepFiles } from "./frame/keep-files.ts";
import { openLook } from "./frame/look.ts";
import { type Area, Shell } from "./frame/shell.tsx";
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
if (page) void openWords().then(() => render(<Shell areas={areas} />, page));
