// The rider's pages: choose a machine, walk round it, read the answer. All of it works without a signal once it was opened with one.
import { useEffect, useMemo, useState } from "preact/hooks";
import { checkedMachine, machineByMark, offlineBundle } from "../field/offline-bundle.ts";
import { takeOut, waiting } from "../field/outbox.ts";
import { layOver } from "../field/overlay.ts";
import type { OverruledCheck, Waiting as WaitingPiece } from "../field/waiting-shape.ts";
import { NoSignal } from "../frame/call.ts";
import { Trouble, Waiting } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import type { AreaProps } from "../frame/shell.tsx";
import { useStore } from "../frame/store.ts";
import { say } from "../frame/words.ts";
import { Overruled } from "./answer.tsx";
import { useBundleNews } from "./bundle-news.ts";
import { ChooseMachine } from "./choose-machine.tsx";
import { Unsent } from "./unsent.tsx";
import type { WalkingProps } from "./walking.tsx";

export default function WalkArea({ person, path }: AreaProps) {
  const heard = useStore(offlineBundle);
  const pieces = useStore(waiting);
  const bundle = useMemo(() => heard && layOver(heard, pieces, person.id), [heard, pieces, person.id]);
  const { error, fresh, refresh } = useBundleNews(person);
  // The list is loaded first and alone, for a poor link; the code for the machine while the rider looks for theirs.
  useEffect(() => {
    if (bundle === null) return undefined;
    const timer = setTimeout(() => void fetchPages().catch(() => undefined), listFirstMs);
    return () => clearTimeout(timer);
  }, [bundle !== null]);

  if (bundle === null || bundle.staffId !== person.id) {
    if (error instanceof NoSignal) {
      return (
        <section class="choose">
          <h1>{say("walk.choose")}</h1>
          <div class="trouble" role="alert">
            <p>{say("walk.first-visit")}</p>
            <button type="button" onClick={() => refresh()}>
              {say("page.try-again")}
            </button>
          </div>
        </section>
      );
    }
    return (
      <section class="choose">
        <h1>{say("walk.choose")}</h1>
        {error ? <Trouble error={error} again={() => refresh()} /> : <Waiting />}
      </section>
    );
  }

  const mark = path[0];
  const machine = mark === undefined ? null : machineByMark(bundle, mark);
  const checked = machine && checkedMachine(bundle, machine);
  const what = path[1] === "report" ? "Report" : path[1] === "fall" ? "Fall" : null;
  if (machine && checked && what !== null) {
    return <AtTheMachine key={`${what} ${machine.id}`} what={what} {...{ person, bundle, machine, checked }} />;
  }
  if (machine && checked) return <AtTheMachine key={machine.id} what="Walking" {...{ person, bundle, machine, checked }} />;
  return (
    <>
      {pieces.filter(isOverruled).map((piece) => {
        const about = piece.staffId === person.id && bundle.machines.find(({ id }) => id === piece.body.machineId);
        return about && <Overruled key={piece.id} piece={piece} bundle={bundle} machine={about} onRead={() => void takeOut(piece.id)} />;
      })}
      {error instanceof NoSignal ? (
        <p class="notice" role="status">
          {say("walk.no-signal")}
        </p>
      ) : (
        <Trouble error={error} />
      )}
      <Unsent person={person} bundle={bundle} />
      {mark === undefined ? (
        <ChooseMachine bundle={bundle} person={person} fresh={fresh} onRefresh={() => refresh(true)} />
      ) : (
        <section class="choose">
          <h1>{mark}</h1>
          <p class="trouble" role="alert">
            {say("walk.unknown", { mark })}
          </p>
          <a class="button" href={to("walk")}>
            {say("walk.choose")}
          </a>
        </section>
      )}
    </>
  );
}

const isOverruled = (piece: WaitingPiece): piece is OverruledCheck => piece.kind === "check" && piece.overruled !== undefined;

const listFirstMs = 1000;

const fetchPages = () => import("./at-the-machine.ts");
type Pages = Awaited<ReturnType<typeof fetchPages>>;

/** The walk or a report, whose code comes after the list. */
function AtTheMachine({ what, ...props }: WalkingProps & { what: keyof Pages }) {
  const [pages, setPages] = useState<Pages | null>(null);
  const [error, setError] = useState<unknown>(null);
  const load = () => {
    setError(null);
    fetchPages().then(setPages, setError);
  };
  useEffect(load, []);
  if (error) return <Trouble error={new NoSignal("the code of the walk did not come")} again={load} />;
  if (!pages) return <Waiting />;
  const Page = pages[what];
  return <Page {...props} />;
}
