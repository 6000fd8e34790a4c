// How a manager records a paper: with pictures of it, and, of a test, with what the examiner advised, each a line of its own.
import { useState } from "preact/hooks";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Paper } from "../../../shared/contracts/papers.ts";
import { isUnusuallyLong, type PaperKind, paperKinds } from "../../../shared/rules/papers.ts";
import { PhotoField } from "../field/photo-field.tsx";
import { useOnce } from "../frame/once.ts";
import { Pick, Trouble } from "../frame/parts.tsx";
import { say, sayNumber } from "../frame/words.ts";
import { named } from "./paper-forms.tsx";
import { sendPhoto } from "./send-photo.ts";

interface Fields {
  readonly kind: PaperKind;
  readonly number: string;
  readonly validFrom: string;
  readonly validTo: string;
  readonly photoIds: readonly string[];
  /** what the examiner advised, a line each */
  readonly advised: string;
}
const empty: Fields = { kind: "insurance", number: "", validFrom: "", validTo: "", photoIds: [], advised: "" };

const linesOf = (text: string): string[] =>
  text
    .split("\n")
    .map((line) => line.trim())
    .filter((line) => line !== "");

export function AddPaper({ machineId, onAdded }: { machineId: string; onAdded: () => void }) {
  const [fields, setFields] = useState(empty);
  const [right, setRight] = useState(false);
  const [open, setOpen] = useState(false);
  const change = (some: Partial<Fields>) => setFields((before) => ({ ...before, ...some }));
  const sent = useSending(machineId, fields, {
    onLeft: (lines) => change({ advised: lines.join("\n") }),
    onAdded: () => {
      setFields(empty);
      setRight(false);
      setOpen(false);
      onAdded();
    },
  });
  const { kind, validFrom, validTo } = fields;
  const long = validFrom !== "" && validTo !== "" && isUnusuallyLong({ kind, validFrom, validTo });
  return (
    <>
      <div role="status">{sent.added && <p class="notice">{say("machine-papers.added", named(sent.added))}</p>}</div>
      <details open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
        <summary>{say("machine-papers.add")}</summary>
        <form
          class="paper-form"
          onSubmit={(event) => {
            event.preventDefault();
            void sent.send();
          }}
        >
          <PaperFields fields={fields} onChange={change} onNewDay={() => setRight(false)} />
          {long && (
            <div class="notice">
              <p>{say("machine-papers.long", { years: sayNumber(Number(validTo.slice(0, 4)) - Number(validFrom.slice(0, 4))) })}</p>
              <label class="tick">
                <input type="checkbox" required checked={right} onChange={(event) => setRight(event.currentTarget.checked)} />
                <span>{say("machine-papers.long.right")}</span>
              </label>
            </div>
          )}
          <Trouble error={sent.error} />
          <button type="submit" class="main" disabled={sent.busy}>
            {say("machine-papers.add.do")}
          </button>
        </form>
      </details>
    </>
  );
}

interface PaperFieldsProps {
  readonly fields: Fields;
  readonly onChange: (some: Partial<Fields>) => void;
  /** another last day was entered */
  readonly onNewDay: () => void;
}

function PaperFields({ fields, onChange, onNewDay }: PaperFieldsProps) {
  const { kind, number, validFrom, validTo, photoIds, advised } = fields;
  return (
    <>
      <Pick
        label={say("machine-papers.kind")}
        value={kind}
        options={paperKinds.map((value) => ({ value, text: say(`paper-kind.${value}`) }))}
        onChange={(value) => onChange({ kind: value })}
      />
      <label>
        <span>{say("machine-papers.number")}</span>
        <input
          required
          maxLength={limits.paperNumber}
          value={number}
          onInput={(event) => onChange({ number: event.currentTarget.value })}
        />
      </label>
      <div class="row">
        <label class="short">
          <span>{say("machine-papers.from")}</span>
          <input type="date" required value={validFrom} onInput={(event) => onChange({ validFrom: event.currentTarget.value })} />
        </label>
        <label class="short">
          <span>{say("machine-papers.to")}</span>
          <input
            type="date"
            required
            {...(validFrom === "" ? {} : { min: validFrom })}
            value={validTo}
            onInput={(event) => {
              onChange({ validTo: event.currentTarget.value });
              onNewDay();
            }}
          />
        </label>
      </div>
      {kind === "roadworthiness-test" && (
        <label>
          <span>{say("machine-papers.advised")}</span>
          <textarea
            dir="auto"
            rows={3}
            maxLength={limits.note}
            value={advised}
            onInput={(event) => onChange({ advised: event.currentTarget.value })}
          />
          <span class="small">{say("machine-papers.advised.follows")}</span>
        </label>
      )}
      <PhotoField count={photoIds.length} keepPhoto={sendPhoto} onPhoto={(id) => onChange({ photoIds: [...photoIds, id] })} />
      <p class="small">{say("machine-papers.photo")}</p>
    </>
  );
}

interface WhenSent {
  /** the lines that are still to be sent */
  readonly onLeft: (lines: readonly string[]) => void;
  readonly onAdded: () => void;
}

/**
 * Sends the paper, then each line as an advisory. What breaks off goes on where it stopped: each is one record however often it is sent, and a
 * line that has arrived is taken out of the field.
 */
function useSending(machineId: string, fields: Fields, { onLeft, onAdded }: WhenSent) {
  const once = useOnce();
  const [state, setState] = useState<{ busy: boolean; error: unknown; added: Paper | null }>({ busy: false, error: null, added: null });
  const send = async (): Promise<void> => {
    const { kind, number, validFrom, validTo, photoIds, advised } = fields;
    setState({ busy: true, error: null, added: null });
    try {
      const paper = { kind, number: number.trim(), validFrom, validTo, ...(photoIds.length === 0 ? {} : { photoIds }) };
      const added = await once.send<Paper>(`/v1/machines/${machineId}/papers`, paper);
      const lines = kind === "roadworthiness-test" ? linesOf(advised) : [];
      for (const [at, note] of lines.entries()) {
        await once.send("/v1/defects", { machineId, seenAt: added.recordedAt, note, paperId: added.id });
        onLeft(lines.slice(at + 1));
      }
      once.done();
      setState({ busy: false, error: null, added });
      onAdded();
    } catch (error) {
      setState({ busy: false, error, added: null });
    }
  };
  return { ...state, send };
}
