// The weekly inspection: the list of items along the walk, one item at a time, and the end with its result.
import { useEffect, useState } from "preact/hooks";
import { inOrderAfterFall } from "../../../shared/catalogue/falls.ts";
import { itemsFor, SHEET_VERSION, sheetTools } from "../../../shared/catalogue/sheet.ts";
import { stations } from "../../../shared/catalogue/stations.ts";
import type { Item } from "../../../shared/catalogue/types.ts";
import type { WeeklyAnswer, WeeklyInspectionBody, WeeklyInspectionReceipt } from "../../../shared/contracts/checks.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { reviewDraft } from "../../../shared/rules/inspection-draft.ts";
import { itemName, stationName, toolName } from "../../../shared/words/item-words.ts";
import { sayGuidance } from "../../../shared/words/say-guidance.ts";
import { put, sendAll } from "../field/outbox.ts";
import { call, Problem } from "../frame/call.ts";
import { inTheMiddle } from "../frame/keep-files.ts";
import { newId } from "../frame/new-id.ts";
import { Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { go, to } from "../frame/route.ts";
import { language, say } from "../frame/words.ts";
import { type BenchMachine, fetchBenchMachine } from "./bench-machine.ts";
import { type Draft, type DraftAtHand, useDraft } from "./draft.ts";
import { Fell } from "./fell.tsx";
import { End, Receipt } from "./inspect-end.tsx";
import { type ListProps, stateIn } from "./inspect-list.ts";
import { isSettled } from "./item-answer.ts";
import { ItemPage } from "./item-page.tsx";

const end = "end";

export function InspectPage({ machineId, itemId, person }: { machineId: string; itemId: string | null; person: Person }) {
  const loaded = useLoaded((signal) => fetchBenchMachine(machineId, signal), [machineId]);
  const atHand = useDraft(machineId);
  useEffect(() => inTheMiddle(), []);
  if (loaded.value === null || atHand.draft === null) {
    return (
      <div class="bench">
        <h1>{say("bench.inspect")}</h1>
        <Trouble error={loaded.error ?? atHand.error} again={loaded.reload} />
        {loaded.loading && <Waiting />}
      </div>
    );
  }
  return <Inspecting machine={loaded.value} draft={atHand.draft} atHand={atHand} itemId={itemId} person={person} />;
}

interface InspectingProps {
  readonly machine: BenchMachine;
  readonly draft: Draft;
  readonly atHand: DraftAtHand;
  readonly itemId: string | null;
  readonly person: Person;
}

function Inspecting({ machine, draft, atHand, itemId, person }: InspectingProps) {
  const { receipt, busy, error, submit } = useSubmission(draft, atHand);
  const { falls = [] } = machine.state;
  const sheet = itemsFor(machine.features, "weekly");
  const { first, rest } = falls.length > 0 ? inOrderAfterFall(sheet) : { first: [], rest: sheet };
  const items = [...first, ...rest];
  const review = reviewDraft(
    machine,
    { sheetVersion: SHEET_VERSION, answers: [...draft.answers], ...(draft.odometerKm === null ? {} : { odometerKm: draft.odometerKm }) },
    new Date(),
    person.competences,
  );
  if (receipt) return <Receipt receipt={receipt} machine={machine} />;

  const list = { items, first, review, draft, machine };
  const open = (id: string | null) =>
    id === null ? go("bench", "inspect", machine.machineId) : go("bench", "inspect", machine.machineId, id);
  const isOpen = (item: Item): boolean => !isSettled(stateIn(draft, review, item));
  const index = items.findIndex(({ id }) => id === itemId);
  const item = items[index];
  return (
    <div class={item ? "bench inspecting" : "bench"}>
      <header class="inspect-head">
        <p class="plate mono">{machine.registrationMark}</p>
        <p class="small" role="status">
          {say(`bench.save.${atHand.state}`)}
        </p>
        <progress max={items.length} value={items.filter((one) => !isOpen(one)).length} aria-label={say("bench.progress")} />
      </header>
      {atHand.state === "conflict" && <Conflict onResolve={(how) => void atHand.resolve(how)} />}
      <Trouble error={atHand.state === "conflict" ? null : atHand.error} again={atHand.saveNow} />
      {itemId === end ? (
        <End {...list} {...{ atHand, busy, error, person }} onOpen={open} onSubmit={submit} />
      ) : item ? (
        <div class="two-sides">
          <ItemList {...list} current={item.id} />
          <ItemPage
            key={item.id}
            item={item}
            machine={machine}
            answer={draft.answers.find((answer) => answer.itemId === item.id)}
            guidance={review.guidance.filter((one) => one.itemId === item.id).map((one) => sayGuidance(one, language()).text)}
            keepPhoto={(picture) => keepPhoto(picture, person, machine)}
            onAnswer={(answer) =>
              atHand.change((before) => ({
                ...before,
                answers: [...before.answers.filter((one) => one.itemId !== answer.itemId), answer],
              }))
            }
            onDone={() => {
              atHand.saveNow();
              // Answered items are skipped, so that somebody who works through the list of missing ones gets to the next of those.
              open(items.find((one, at) => at > index && isOpen(one))?.id ?? end);
            }}
            onBack={() => open(items[index - 1]?.id ?? null)}
          />
        </div>
      ) : (
        <Overview list={list} onBegin={() => open(items.find(isOpen)?.id ?? end)} />
      )}
    </div>
  );
}

/** Submits the inspection, once: the draft's id is that of the inspection. */
function useSubmission(draft: Draft, atHand: DraftAtHand) {
  const [receipt, setReceipt] = useState<WeeklyInspectionReceipt | null>(null);
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const submit = async () => {
    setBusy(true);
    setError(null);
    try {
      const body: WeeklyInspectionBody = {
        ...{ id: draft.id, machineId: draft.machineId, sheetVersion: SHEET_VERSION, performedAt: new Date().toISOString() },
        odometerKm: draft.odometerKm ?? 0,
        answers: draft.answers.filter((answer): answer is WeeklyAnswer => answer.result !== undefined),
      };
      const stored = await call<WeeklyInspectionReceipt>("/v1/weekly-inspections", { method: "POST", body }).catch(
        async (trouble: unknown) => {
          // It was sent before and its answer was lost: the record holds what was sent then.
          if (trouble instanceof Problem && trouble.code === "id-reused")
            return call<WeeklyInspectionReceipt>(`/v1/weekly-inspections/${draft.id}`);
          throw trouble;
        },
      );
      atHand.end();
      setReceipt(stored);
    } catch (trouble) {
      setError(trouble);
    } finally {
      setBusy(false);
    }
  };
  return { receipt, busy, error, submit };
}

/** Keeps a picture for sending, and answers its id. */
async function keepPhoto(picture: Blob, person: Person, { registrationMark }: BenchMachine): Promise<string> {
  const id = newId();
  const about = { staffId: person.id, staffName: person.name, registrationMark };
  await put({ kind: "photo", id, picture, madeAt: new Date().toISOString(), ...about });
  void sendAll();
  return id;
}

/** Somebody else has saved the draft of this machine meanwhile: asks whether to keep both or only theirs. */
function Conflict({ onResolve }: { readonly onResolve: (how: "both" | "theirs") => void }) {
  return (
    <div class="notice" role="alert">
      <p>{say("bench.conflict")}</p>
      <p class="row">
        <button type="button" onClick={() => onResolve("both")}>
          {say("bench.conflict.both")}
        </button>
        <button type="button" onClick={() => onResolve("theirs")}>
          {say("bench.conflict.theirs")}
        </button>
      </p>
    </div>
  );
}

/** Before the first item, and between items: the tools needed, and the state of each item. */
function Overview({ list, onBegin }: { readonly list: ListProps; readonly onBegin: () => void }) {
  return (
    <>
      <h1>{say("bench.inspect")}</h1>
      <Fell falls={list.machine.state.falls ?? []} />
      <p>
        {say("bench.tools", {
          tools: sheetTools(list.machine.features, "weekly")
            .map((id) => toolName(id, language()))
            .join(", "),
        })}
      </p>
      <ItemList {...list} current={null} />
      <p class="small">{say("caution.line")}</p>
      <div class="thumb">
        <button type="button" class="main" onClick={onBegin}>
          {say(list.draft.answers.length === 0 ? "bench.begin" : "bench.draft.go-on")}
        </button>
      </div>
    </>
  );
}

/** The items along the walk with how each stands so far; after a fall those that it bends first. */
function ItemList({ items, first, ...list }: ListProps & { current: string | null }) {
  const rest = items.filter((item) => !first.includes(item));
  return (
    <nav class="item-list" aria-label={say("bench.items")}>
      <ItemsIn title={say("bench.fell.part")} items={first} {...list} />
      {stations.map(({ id }) => (
        <ItemsIn key={id} title={stationName(id, language())} items={rest.filter((item) => item.stationId === id)} {...list} />
      ))}
      <a class="button" href={to("bench", "inspect", list.machine.machineId, end)}>
        {say("bench.end")}
      </a>
    </nav>
  );
}

function ItemsIn({ title, items, review, draft, machine, current }: Omit<ListProps, "first"> & { title: string; current: string | null }) {
  if (items.length === 0) return null;
  return (
    <section>
      <h2>{title}</h2>
      <ul class="list">
        {items.map((item) => (
          <li key={item.id}>
            <a
              class={`item-link item-link-${stateIn(draft, review, item)}`}
              href={to("bench", "inspect", machine.machineId, item.id)}
              aria-current={item.id === current ? "step" : undefined}
            >
              <span>{itemName(item.id, language())}</span>
              <span>{say(`bench.item.state.${stateIn(draft, review, item)}`)}</span>
            </a>
          </li>
        ))}
      </ul>
    </section>
  );
}
