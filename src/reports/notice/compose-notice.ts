// A notice to hang on a machine that may not be ridden: whoever comes to it at half past five sees it before they have their phone out.
import { firstWords } from "../../../shared/words/say-reason.ts";
import type { ReportDocument } from "../../pdf/index.ts";
import type { Frame, MachineIdentity } from "../facts.ts";
import { labelAddress } from "../labels/compose-labels.ts";
import { headOf, phrasesFor } from "../phrases.ts";

export interface NoticeFacts {
  readonly frame: Frame;
  readonly machine: MachineIdentity;
  /** in words, the gravest first */
  readonly reasons: readonly string[];
  /** since when it stands still; null where that is not one moment */
  readonly since: Date | null;
  /** where the pages are opened, as `https://host` */
  readonly origin: string;
}

/** More than this nobody reads beside a machine; the code leads to all of them. */
const mostReasons = 4;
const mostSigns = 120;

/** Facts in, document out; draws nothing. */
export function composeNotice({ frame, machine, reasons, since, origin }: NoticeFacts): ReportDocument {
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const { registrationMark: mark, modelName } = machine;
  const shown = (reasons.length > mostReasons ? reasons.slice(0, mostReasons - 1) : reasons).map((one) => firstWords(one, mostSigns));
  const more = reasons.length - shown.length;
  return {
    sheet: "a5",
    head: headOf(phrases, frame, {
      title: say("report.notice.title"),
      subject: mark,
      period: mark,
    }),
    blocks: [
      {
        kind: "notice",
        title: say("report.notice.do-not-ride"),
        mark,
        lines: [modelName, ...(since === null ? [] : [say("report.notice.since", { when: phrases.when(since) })])],
        reasons: more > 0 ? [...shown, say("report.notice.more", { count: phrases.number(more) })] : shown,
        say: [say("report.notice.scan"), say("report.notice.until")],
        address: labelAddress(origin, mark),
        alt: say("report.labels.alt", { mark }),
      },
    ],
  };
}
