// A stay at another workshop: where and what for, and as long as the machine is there the form by which it is taken back with what was done.

import { useState } from "preact/hooks";
import type { Defect } from "../../../shared/contracts/defects.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import type { OutsideWork, TakeBackReceipt } from "../../../shared/contracts/outside-work.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { holds } from "../../../shared/rules/roles.ts";
import { nameOfDefect } from "../../../shared/words/say-reason.ts";
import { PhotoField } from "../field/photo-field.tsx";
import { useAct } from "../frame/act.ts";
import { call, callAll } from "../frame/call.ts";
import { CategoryMark, Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { sayAmount } from "../frame/say-amount.ts";
import { language, say, sayDay, sayMoment, sayNumber } from "../frame/words.ts";
import { InvoiceField } from "./invoice-field.tsx";
import { emptyParts, PartFields, partsIn } from "./part-fields.tsx";
import { Photos } from "./photos.tsx";
import { sendPhoto } from "./send-photo.ts";
import { StandsAfter } from "./stands-after.tsx";

export function OutsidePage({ id, person }: { id: string; person: Person }) {
  const work = useLoaded((signal) => call<OutsideWork>(`/v1/outside-work/${id}`, { signal }), [id]);
  const [taken, setTaken] = useState<TakeBackReceipt | null>(null);
  const { value } = work;
  if (value === null)
    return (
      <div class="bench">
        <h1>{say("outside.title")}</h1>
        <Trouble error={work.error} again={work.reload} />
        {work.loading && <Waiting />}
      </div>
    );
  return (
    <div class="bench">
      <p class="plate mono">
        <a href={to("bench", "machine", value.machineId)}>{value.registrationMark}</a>
      </p>
      <h1>{say("outside.title")}</h1>
      <Told work={value} />
      {taken && (
        <StandsAfter machine={taken.machine} said={say(taken.return.inspectionDue ? "outside.back.inspect" : "outside.back.said")} />
      )}
      {value.back && <Done back={value.back} />}
      {value.back === null && holds(person, "mechanic", "manager") && (
        <TakeBack
          work={value}
          onDone={(receipt) => {
            setTaken(receipt);
            work.reload();
          }}
        />
      )}
      <p class="small">{say("caution.line")}</p>
    </div>
  );
}

function Told({ work: { since, told, late } }: { work: OutsideWork }) {
  if (told === null) return <p>{say("outside.forgotten")}</p>;
  return (
    <>
      <p>
        <strong>
          <bdi>{told.workshop}</bdi>
        </strong>
        , {say("outside.since.at", { at: sayMoment(since) })}
      </p>
      <p class="said" dir="auto">
        <q>{told.reason}</q>
      </p>
      <p class={late ? "notice" : ""}>{say(late ? "outside.late" : "outside.expected.on", { day: sayDay(told.expectedDay) })}</p>
    </>
  );
}

type Parts = readonly { readonly name: string; readonly quantity: number }[];
const sayParts = (parts: Parts): string =>
  parts.map(({ name, quantity }) => say("outside.part", { name, quantity: sayNumber(quantity) })).join(", ");

function Done({ back: { returnedAt, told, photos } }: { back: NonNullable<OutsideWork["back"]> }) {
  return (
    <section>
      <h2>{say("outside.back.at", { at: sayMoment(returnedAt) })}</h2>
      {told === null && <p>{say("outside.forgotten")}</p>}
      {told !== null && told.workDone === null && told.repaired.length === 0 && <p>{say("outside.nothing-done")}</p>}
      {told?.workDone && <p dir="auto">{told.workDone}</p>}
      {told !== null && told.parts.length > 0 && <p dir="auto">{sayParts(told.parts)}</p>}
      {told !== null && told.repaired.length > 0 && (
        <ul class="list">
          {told.repaired.map(({ defectId, workDone, parts }) => (
            <li key={defectId} dir="auto">
              <a href={to("bench", "defect", defectId)}>{say("outside.repaired")}</a>{" "}
              {[workDone, sayParts(parts)].filter((part) => part).join(", ")}
            </li>
          ))}
        </ul>
      )}
      {told?.invoice && <p>{say("outside.invoice", { amount: sayAmount(told.invoice.costMinor, told.invoice.currency) })}</p>}
      <Photos photos={photos} />
    </section>
  );
}

interface Work {
  readonly text: string;
  readonly parts: ReturnType<typeof emptyParts>;
}
const noWork = (): Work => ({ text: "", parts: emptyParts() });

/** As it is sent; what is empty stays out. */
const sentOf = ({ text, parts }: Work) => ({
  ...(text.trim() === "" ? {} : { workDone: text.trim() }),
  ...(partsIn(parts).length === 0 ? {} : { parts: partsIn(parts) }),
});

function TakeBack({ work, onDone }: { work: OutsideWork; onDone: (receipt: TakeBackReceipt) => void }) {
  const open = useLoaded(
    (signal) => callAll<Defect>(`/v1/defects?machineId=${work.machineId}&status=open,deferred,repaired`, 200, signal),
    [work.machineId],
  );
  const [other, setOther] = useState<Work>(noWork);
  const [repaired, setRepaired] = useState<ReadonlyMap<string, Work>>(new Map());
  const [photoIds, setPhotoIds] = useState<readonly string[]>([]);
  const [cost, setCost] = useState<number | null>(null);
  const sent = useAct<TakeBackReceipt>(onDone);
  const submit = (event: Event) => {
    event.preventDefault();
    const there = [...repaired].map(([defectId, done]) => ({ defectId, ...sentOf(done) }));
    const what = {
      ...sentOf(other),
      ...(there.length === 0 ? {} : { repaired: there }),
      ...(photoIds.length === 0 ? {} : { photoIds }),
      ...(cost === null ? {} : { costMinor: cost }),
    };
    void sent.send(`/v1/outside-work/${work.id}/return`, what, "returnedAt");
  };
  return (
    <form class="paper-form" onSubmit={submit}>
      <h2>{say("outside.take-back")}</h2>
      <Trouble error={open.error} again={open.reload} />
      {(open.value ?? []).length > 0 && (
        <fieldset class="seen">
          <legend>{say("outside.which")}</legend>
          {open.value?.map((defect) => (
            <label key={defect.id}>
              <input
                type="checkbox"
                checked={repaired.has(defect.id)}
                onChange={() => setRepaired((before) => changed(before, defect.id, before.has(defect.id) ? null : noWork()))}
              />
              <span>
                <CategoryMark category={defect.category} /> {nameOf(defect)}
              </span>
            </label>
          ))}
        </fieldset>
      )}
      {open.value?.map((defect) => {
        const done = repaired.get(defect.id);
        if (done === undefined) return null;
        return (
          <WorkFields
            key={defect.id}
            label={say("outside.work", { item: nameOf(defect) })}
            work={done}
            required={false}
            onWork={(work) => setRepaired((before) => changed(before, defect.id, work))}
          />
        );
      })}
      <WorkFields label={say("outside.other")} work={other} required={partsIn(other.parts).length > 0} onWork={setOther} />
      <p class="small">{say("outside.other.follows")}</p>
      <InvoiceField onCost={setCost} />
      <PhotoField count={photoIds.length} keepPhoto={sendPhoto} onPhoto={(id) => setPhotoIds((before) => [...before, id])} />
      <p class="small">{say("outside.photo")}</p>
      <Trouble error={sent.error} />
      <button type="submit" class="main" disabled={sent.busy}>
        {say("outside.take-back.do")}
      </button>
    </form>
  );
}

function changed(before: ReadonlyMap<string, Work>, id: string, done: Work | null): ReadonlyMap<string, Work> {
  const after = new Map(before);
  if (done === null) after.delete(id);
  else after.set(id, done);
  return after;
}

const nameOf = (defect: Defect): string => nameOfDefect({ ...defect, campaign: defect.campaign?.name }, language());

interface WorkFieldsProps {
  readonly label: string;
  readonly work: Work;
  readonly required: boolean;
  readonly onWork: (work: Work) => void;
}

function WorkFields({ label, work, required, onWork }: WorkFieldsProps) {
  return (
    <>
      <label>
        <span>{label}</span>
        <textarea
          dir="auto"
          rows={2}
          required={required}
          maxLength={limits.workDone}
          value={work.text}
          onInput={(event) => onWork({ ...work, text: event.currentTarget.value })}
        />
      </label>
      <PartFields parts={work.parts} needed={false} onParts={(parts) => onWork({ ...work, parts })} />
    </>
  );
}
