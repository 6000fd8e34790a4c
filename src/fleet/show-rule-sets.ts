import { failedTests, ruleSets } from "../../shared/catalogue/rule-sets.ts";
import { sources } from "../../shared/catalogue/sources.ts";
import type { RuleSetList } from "../../shared/contracts/fleet.ts";
import { type RuleSet, ruleSetSchema } from "../../shared/contracts/machine-model.ts";
import { wordByKey } from "../../shared/words/index.ts";

/** Every rule set with all figures that a law may set; one that is not known is null. */
export function showRuleSets(): RuleSetList {
  return {
    items: ruleSetSchema.options.map((id) => ({
      id,
      name: wordByKey(`rule-set.${id}`),
      figures: Object.entries(ruleSets[id]).map(([name, figure]) => ({
        name,
        text: wordByKey(`figure.${name}`),
        value: figure?.value ?? null,
        source: figure === null ? null : { key: figure.source, ...sources[figure.source as keyof typeof sources] },
      })),
      failedTest: failedTestOf(id),
    })),
  };
}

function failedTestOf(id: RuleSet): RuleSetList["items"][number]["failedTest"] {
  const { grounds, source } = failedTests[id];
  return { grounds, text: wordByKey(grounds ? "failed-test.grounds" : "failed-test.not-set"), source: { key: source, ...sources[source] } };
}
