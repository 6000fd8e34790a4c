// What this person may do about a defect now; what they may not do is shown with the reason.

import { useState } from "preact/hooks";
import type { Category } from "../../../shared/contracts/common.ts";
import type { CourseReceipt, DefectWithCourse } from "../../../shared/contracts/defects.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import {
  type CourseRefusal,
  defer,
  lastPartDay,
  notFound,
  openDefect,
  regrade,
  repair,
  signOff,
  waitForPart,
} from "../../../shared/rules/course.ts";
import { useAct } from "../frame/act.ts";
import { Choice, Trouble } from "../frame/parts.tsx";
import { say, sayDay } from "../frame/words.ts";
import { type BenchMachine, isWithin } from "./bench-machine.ts";
import { emptyParts, type PartEntered, PartFields, partsIn } from "./part-fields.tsx";
import { emptyReading, ReadingField, readingOf } from "./reading-field.tsx";

const acts = ["repair", "sign-off", "not-found", "waiting", "deferral", "regrade"] as const;
type ActName = (typeof acts)[number];

interface ActsProps {
  readonly defect: DefectWithCourse;
  readonly machine: BenchMachine;
  readonly person: Person;
  readonly onDone: (receipt: CourseReceipt) => void;
}

// Refusals that the person can avoid by filling in the form differently.
const inTheForm: ReadonlySet<CourseRefusal> = new Set([
  "reading-missing",
  "reading-outside",
  "new-part-needed",
  "deferral-too-long",
  "deferral-too-early",
  "wait-too-long",
  "part-day-over",
  "same-category",
]);

/** Why an act is refused, by the same rules as the service; null if that depends on what is entered. */
function against(act: ActName, { defect, machine, person }: ActsProps): CourseRefusal | null {
  const { state, depotRules } = machine;
  const now = new Date();
  const closer = { staffId: person.id, competences: person.competences };
  const closing = { recordId: "", closer, reading: null, recordedAt: now };
  const step = {
    repair: () => repair(state, defect.id, { id: "", staffId: person.id, performedAt: now.toISOString(), reading: null }, 1),
    "sign-off": () => signOff(state, defect.id, closing, () => true, depotRules),
    "not-found": () => notFound(state, defect.id, closing, () => true, depotRules),
    waiting: () => {
      const wait = { recordId: "", expectedDay: localDay(now, depotRules.timeZone) };
      return waitForPart(state, defect.id, wait, closer, now, depotRules);
    },
    deferral: () => defer(state, defect.id, localDay(now, depotRules.timeZone), now, depotRules),
    regrade: () => regrade(state, defect.id, defect.category === "minor" ? "major" : "minor", { ...closer, recordId: "" }, now, depotRules),
  }[act]();
  return step.refused === null || inTheForm.has(step.refused) ? null : step.refused;
}

export function Acts(props: ActsProps) {
  const { defect, machine } = props;
  const open = openDefect(machine.state, defect.id);
  const usual: ActName = open?.status === "repaired" ? "sign-off" : "repair";
  const [act, setAct] = useState<ActName>(usual);
  if (!open) return null;
  const refused = against(act, props);
  return (
    <section class="acts">
      <h2>{say("bench.what-now")}</h2>
      <Choice
        label={say("bench.act")}
        value={act}
        options={acts.map((value) => ({ value, text: say(`bench.act.${value}`) }))}
        onChange={setAct}
      />
      {refused !== null ? (
        <p class="notice" role="status">
          {say(`bench.refused.${refused}`, { competence: say(`competence.${open.competence}`) })}
        </p>
      ) : (
        <>
          <TwoLook act={act} defect={defect} />
          <ActForm key={act} act={act} {...props} />
        </>
      )}
    </section>
  );
}

/** Shown if two people have to look before a defect is closed without a repair: says whether this person is the first or the second. */
function TwoLook({ act, defect }: { act: ActName; defect: DefectWithCourse }) {
  const finding = act === "not-found" ? "not-found" : act === "regrade" ? "minor" : null;
  if (finding === null || !defect.secondPerson || defect.category === "minor") return null;
  const isSecond = defect.firstLook?.finding === finding;
  return <p class="notice">{say(isSecond ? `bench.look.second.${finding}` : `bench.look.first.${finding}`)}</p>;
}

/** The work of a repair, beside what was done in words. */
interface Work {
  readonly minutes: string;
  readonly parts: readonly PartEntered[];
}

interface Entered {
  readonly text: string;
  /** what it waits for */
  readonly part: string;
  readonly day: string;
  readonly category: Category;
  readonly work: Work;
  readonly reading: ReturnType<typeof readingOf>;
}

/** Address and body of an act; `dated`: the field for the moment at which it was done. */
function requestOf(act: ActName, { text, part, day, category, work, reading }: Entered): { path: string; what: object; dated?: string } {
  const said = text.trim();
  const withReading = reading === undefined ? {} : { reading };
  switch (act) {
    case "repair": {
      const parts = partsIn(work.parts);
      const minutes = work.minutes === "" ? {} : { minutes: Number(work.minutes) };
      const what = { workDone: said, ...minutes, ...(parts.length > 0 ? { parts } : {}), ...withReading };
      return { path: "repairs", what, dated: "performedAt" };
    }
    case "sign-off":
      return { path: "sign-off", what: { ...(said === "" ? {} : { statement: said }), ...withReading } };
    case "not-found":
      return { path: "not-found", what: { reason: said, ...withReading } };
    case "waiting":
      return { path: "waiting", what: { part: part.trim(), reason: said, expectedDay: day } };
    case "deferral":
      return { path: "deferral", what: { untilDay: day, reason: said } };
    case "regrade":
      return { path: "regrades", what: { category, reason: said } };
    default:
      return act satisfies never;
  }
}

function ActForm({ act, defect, machine, onDone }: ActsProps & { act: ActName }) {
  const open = openDefect(machine.state, defect.id);
  const quantity = open?.quantity ?? null;
  const [text, setText] = useState("");
  const [work, setWork] = useState<Work>({ minutes: "", parts: emptyParts() });
  const [part, setPart] = useState("");
  const [day, setDay] = useState("");
  const [category, setCategory] = useState<Category>(defect.category === "minor" ? "major" : "minor");
  const [reading, setReading] = useState(quantity === null ? null : emptyReading(machine, quantity));
  const sent = useAct<CourseReceipt>(onDone);
  const measures = quantity !== null && reading !== null && (act === "repair" || act === "sign-off" || act === "not-found");
  const taken = measures ? readingOf(reading, quantity) : undefined;
  const lastDay = lastDayOf(act, machine, defect.id);

  const submit = (event: Event) => {
    event.preventDefault();
    const { path, what, dated } = requestOf(act, { text, part, day, category, work, reading: taken });
    void sent.send(`/v1/defects/${defect.id}/${path}`, what, dated);
  };
  return (
    <form onSubmit={submit}>
      {act === "regrade" && (
        <Choice
          label={say("bench.category")}
          value={category}
          options={(["advisory", "minor", "major", "dangerous"] as const)
            .filter((one) => one !== defect.category)
            .map((value) => ({ value, text: say(`category.${value}`) }))}
          onChange={setCategory}
        />
      )}
      {act === "waiting" && <PartField minor={defect.category === "minor"} part={part} onPart={setPart} />}
      {(act === "deferral" || act === "waiting") && (
        <label>
          <span>{say(act === "waiting" ? "bench.wait.day" : "bench.until", { day: lastDay === null ? "" : sayDay(lastDay) })}</span>
          <input type="date" required value={day} max={lastDay ?? undefined} onInput={(event) => setDay(event.currentTarget.value)} />
        </label>
      )}
      <label>
        <span>{say(`bench.text.${act}`)}</span>
        <textarea
          dir="auto"
          rows={3}
          maxLength={act === "repair" ? limits.workDone : limits.note}
          required={act !== "sign-off"}
          value={text}
          onInput={(event) => setText(event.currentTarget.value)}
        />
      </label>
      {act === "repair" && <WorkFields work={work} newPart={open?.onlyNewPart === true} onWork={setWork} />}
      {measures && (
        <>
          <h3>{say(act === "repair" ? "bench.reading.after" : "bench.reading.now")}</h3>
          <ReadingField
            machine={machine}
            quantity={quantity}
            label={say(`quantity.${quantity}`)}
            reading={reading}
            onReading={setReading}
          />
          {act !== "repair" && taken !== undefined && !isWithin(machine, quantity, taken.value, taken.unit) && (
            <p class="notice">{say("bench.refused.reading-outside")}</p>
          )}
        </>
      )}
      <Trouble error={sent.error} />
      <button type="submit" class="main" disabled={sent.busy}>
        {say(`bench.do.${act}`)}
      </button>
    </form>
  );
}

/** What the defect waits for, and what that means for whoever rides. */
function PartField({ minor, part, onPart }: { minor: boolean; part: string; onPart: (part: string) => void }) {
  return (
    <>
      <p class="notice">{say(minor ? "bench.wait.rides" : "bench.wait.stands")}</p>
      <label>
        <span>{say("bench.wait.part")}</span>
        <input dir="auto" maxLength={limits.partName} required value={part} onInput={({ currentTarget: { value } }) => onPart(value)} />
      </label>
    </>
  );
}

interface WorkFieldsProps {
  readonly work: Work;
  /** only a new part puts it right */
  readonly newPart: boolean;
  readonly onWork: (work: Work) => void;
}

/** How long a repair took, and the parts that went in. */
function WorkFields({ work, newPart, onWork }: WorkFieldsProps) {
  const { minutes, parts } = work;
  return (
    <>
      <label class="short">
        <span>{say("bench.minutes")}</span>
        <input
          inputMode="numeric"
          type="number"
          min={0}
          max={limits.minutes}
          step={1}
          value={minutes}
          onInput={({ currentTarget: { value } }) => onWork({ ...work, minutes: value })}
        />
      </label>
      <PartFields parts={parts} needed={newPart} onParts={(next) => onWork({ ...work, parts: next })} />
    </>
  );
}

/** The last day that an act accepts: to which a defect may be deferred, or on which its part may be expected; null if it accepts none. */
function lastDayOf(act: ActName, { state, depotRules }: BenchMachine, id: string): string | null {
  const now = new Date();
  if (act === "waiting") {
    const last = lastPartDay(now, depotRules);
    const { campaign, dueDay = null } = openDefect(state, id) ?? {};
    return campaign !== undefined && dueDay !== null && dueDay < last ? dueDay : last;
  }
  if (act !== "deferral") return null;
  const today = localDay(now, depotRules.timeZone);
  for (let days = depotRules.policy.minorDefectDays; days >= 0; days -= 1) {
    const day = new Date(Date.parse(`${today}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);
    if (defer(state, id, day, now, depotRules).refused === null) return day;
  }
  return null;
}
