// The open advisories at an item of an inspection: still so, gone, or worse. Each has to be said before it can be signed.

import { SHEET_VERSION } from "../../../shared/catalogue/sheet.ts";
import type { Item } from "../../../shared/catalogue/types.ts";
import { type AdvisoryNow, advisoriesAt, askedAt } from "../../../shared/rules/advisories.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import { sheetOfVersion } from "../../../shared/rules/weekly-inspection.ts";
import { allThatWasSeen, nameOfItem } from "../../../shared/words/say-reason.ts";
import { language, say, sayDay } from "../frame/words.ts";
import type { BenchMachine } from "./bench-machine.ts";
import type { Fields } from "./item-answer.ts";

const choices: readonly AdvisoryNow[] = ["stays", "gone", "worse"];

interface AdvisoriesHereProps {
  readonly item: Item;
  readonly machine: BenchMachine;
  readonly said: Fields["advisories"];
  readonly onSaid: (said: Fields["advisories"]) => void;
}

export function AdvisoriesHere({ item, machine, said, onSaid }: AdvisoriesHereProps) {
  const { features, state, depotRules } = machine;
  const sheet = sheetOfVersion(features, SHEET_VERSION);
  const here = advisoriesAt(state, new Date()).filter((advisory) => askedAt(advisory, sheet) === item.id);
  return (
    <>
      {here.map(({ id, itemId, observationIds, seenAt }) => {
        const what = allThatWasSeen(observationIds, language()).join("; ");
        return (
          <fieldset key={id} class="ticks notice">
            <legend>
              {say("bench.advisory", {
                day: sayDay(localDay(new Date(seenAt), depotRules.timeZone)),
                what: what === "" ? nameOfItem(itemId, language()) : what,
              })}
            </legend>
            {choices.map((now) => (
              <label key={now} class="tick">
                <input
                  type="radio"
                  name={`advisory ${id}`}
                  checked={said.some((one) => one.defectId === id && one.now === now)}
                  onChange={() => onSaid([...said.filter(({ defectId }) => defectId !== id), { defectId: id, now }])}
                />
                <span>{say(`bench.advisory.${now}`)}</span>
              </label>
            ))}
          </fieldset>
        );
      })}
    </>
  );
}
