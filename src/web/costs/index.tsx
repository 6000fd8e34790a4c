// Money: what machines cost, and the list of parts with their prices.
import { holds } from "../../../shared/rules/roles.ts";
import { to } from "../frame/route.ts";
import type { AreaProps } from "../frame/shell.tsx";
import { say } from "../frame/words.ts";
import { CostsPage } from "./costs-page.tsx";
import { PartsPage } from "./parts-page.tsx";

export default function Costs({ person, path }: AreaProps) {
  const isParts = path[0] === "parts";
  return (
    <div class="costs">
      <p class="row">
        <a class="button" href={to("costs")} aria-current={isParts ? undefined : "page"}>
          {say("costs.title")}
        </a>
        <a class="button" href={to("costs", "parts")} aria-current={isParts ? "page" : undefined}>
          {say("costs.parts")}
        </a>
      </p>
      {isParts ? <PartsPage canWrite={holds(person, "manager")} /> : <CostsPage canWrite={holds(person, "manager")} />}
    </div>
  );
}
