// How a manager ends a paper. The consequences are shown before, by the same rules as at the service.

import { useState } from "preact/hooks";
import { failedTests } from "../../../shared/catalogue/rule-sets.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import type { RuleSet } from "../../../shared/contracts/machine-model.ts";
import type { Paper, PaperEnded } from "../../../shared/contracts/papers.ts";
import { addDays } from "../../../shared/rules/calendar.ts";
import { type EndingReason, endingReasons, whatFollows } from "../../../shared/rules/papers.ts";
import { useAct } from "../frame/act.ts";
import { Choice, Trouble } from "../frame/parts.tsx";
import { say, sayDay } from "../frame/words.ts";

/** A paper's kind and number, as sentences name it. */
export const named = ({ kind, number }: Pick<Paper, "kind" | "number">) => ({ paper: say(`paper-kind.${kind}`), number });

interface EndPaperProps {
  readonly paper: Paper;
  /** all papers of the machine: the consequences depend on all of them together */
  readonly papers: readonly Paper[];
  readonly mark: string;
  readonly today: string;
  readonly ruleSet: RuleSet;
  readonly onLeave: () => void;
  readonly onDone: (receipt: PaperEnded) => void;
}

export function EndPaper({ paper, papers, mark, today, ruleSet, onLeave, onDone }: EndPaperProps) {
  const [reason, setReason] = useState<EndingReason>("cancelled");
  const [asked, setDay] = useState(today < paper.validFrom ? paper.validFrom : today > paper.validTo ? paper.validTo : today);
  const [note, setNote] = useState("");
  const sent = useAct<PaperEnded>(onDone);
  const mistaken = reason === "mistaken";
  const day = mistaken ? today : asked;
  const latest = reason === "failed" && today < paper.validTo ? today : paper.validTo;
  const inside = mistaken || (day >= paper.validFrom && day <= latest);
  const submit = (event: Event) => {
    event.preventDefault();
    void sent.send(`/v1/papers/${paper.id}/ending`, { day, reason, ...(note.trim() === "" ? {} : { note: note.trim() }) });
  };
  return (
    <form class="paper-form" onSubmit={submit}>
      <Choice
        label={say("machine-papers.reason")}
        value={reason}
        options={endingReasons
          .filter((one) => one !== "failed" || paper.kind === "roadworthiness-test")
          .map((value) => ({ value, text: say(`machine-papers.reason.${value}`) }))}
        onChange={setReason}
      />
      {!mistaken && (
        <label class="short">
          <span>{say(reason === "failed" ? "machine-papers.day.failed" : "machine-papers.day")}</span>
          <input
            type="date"
            required
            min={paper.validFrom}
            max={latest}
            value={asked}
            onInput={(event) => setDay(event.currentTarget.value)}
          />
        </label>
      )}
      <label>
        <span>{say("machine-papers.note")}</span>
        <textarea dir="auto" rows={2} maxLength={limits.paperNote} value={note} onInput={(event) => setNote(event.currentTarget.value)} />
      </label>
      <p class="notice" role="status">
        {inside && sayFollowing(paper, papers, { day, reason, grounds: reason === "failed" && failedTests[ruleSet].grounds }, mark, today)}
      </p>
      <Trouble error={sent.error} />
      <p class="row">
        <button type="submit" class="main" disabled={sent.busy}>
          {say("machine-papers.do")}
        </button>
        <button type="button" onClick={onLeave}>
          {say("machine-papers.leave")}
        </button>
      </p>
    </form>
  );
}

/** What the ending leads to, in a sentence. */
function sayFollowing(
  paper: Paper,
  papers: readonly Paper[],
  ending: { readonly day: string; readonly reason: EndingReason; readonly grounds: boolean },
  mark: string,
  today: string,
): string {
  const { from, already, grounded } = whatFollows(papers, paper, ending, today);
  const params = { mark, paper: named(paper).paper };
  if (from === null) return say("machine-papers.follows.never", params);
  const days = { day: sayDay(from), last: sayDay(addDays(from, -1)) };
  if (from <= today) {
    if (grounded) return say("machine-papers.follows.grounded", { ...params, day: sayDay(ending.day) });
    return say(already ? "machine-papers.follows.already" : "machine-papers.follows.now", params);
  }
  return say(already ? "machine-papers.follows.other" : "machine-papers.follows.later", { ...params, ...days });
}
