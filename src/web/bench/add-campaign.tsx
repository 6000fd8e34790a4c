// A manager adds a campaign: its job, the models and machines that it covers, its last day, and whether they stand still until it is done.
import { useState } from "preact/hooks";
import { weeklyItems } from "../../../shared/catalogue/weekly.ts";
import type { CampaignWithProgress } from "../../../shared/contracts/campaigns.ts";
import type { Machine, MachineModel } from "../../../shared/contracts/fleet.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import { itemName } from "../../../shared/words/item-words.ts";
import { useAct } from "../frame/act.ts";
import { callAll } from "../frame/call.ts";
import { localText } from "../frame/local-text.ts";
import { Choice, Pick, Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { language, say, sayCounted } from "../frame/words.ts";

interface Fleet {
  readonly models: readonly MachineModel[];
  readonly machines: readonly Machine[];
}

const loadFleet = async (signal: AbortSignal): Promise<Fleet> => {
  const [models, machines] = await Promise.all([
    callAll<MachineModel>("/v1/models", 1000, signal),
    callAll<Machine>("/v1/machines", 10_000, signal),
  ]);
  return { models, machines };
};

const marksIn = (text: string): string[] =>
  text
    .split(/[,;\n]/)
    .map((mark) => mark.replace(/\s/g, "").toUpperCase())
    .filter((mark) => mark !== "");

interface AddCampaignProps {
  readonly onDone: (added: CampaignWithProgress) => void;
}

export function AddCampaign({ onDone }: AddCampaignProps) {
  const fleet = useLoaded(loadFleet, []);
  if (fleet.value === null)
    return (
      <>
        <Trouble error={fleet.error} again={fleet.reload} />
        {fleet.loading && <Waiting />}
      </>
    );
  return <Form fleet={fleet.value} onDone={onDone} />;
}

interface Entered {
  readonly name: string;
  /** empty: none */
  readonly itemId: string;
  readonly job: string;
  readonly modelIds: readonly string[];
  readonly marks: string;
  readonly grounds: "true" | "false";
  readonly dueDay: string;
}
const nothing: Entered = { name: "", itemId: "", job: "", modelIds: [], marks: "", grounds: "true", dueDay: "" };

/** The body of the call, or why there is none. */
function bodyOf({ name, itemId, job, modelIds, marks, grounds, dueDay }: Entered, machines: readonly Machine[]): object | string {
  const named = marksIn(marks).map((mark) => ({ mark, machine: machines.find(({ registrationMark }) => registrationMark === mark) }));
  const unknown = named.filter(({ machine }) => machine === undefined).map(({ mark }) => mark);
  const machineIds = [...new Set(named.flatMap(({ machine }) => machine?.id ?? []))];
  if (unknown.length > 0) return say("campaigns.unknown-marks", { marks: unknown.join(", ") });
  if (modelIds.length + machineIds.length === 0) return say("campaigns.nothing-chosen");
  return {
    ...{ name: name.trim(), job: job.trim(), grounds: grounds === "true", dueDay },
    ...(itemId === "" ? {} : { itemId }),
    ...(modelIds.length > 0 ? { modelIds } : {}),
    ...(machineIds.length > 0 ? { machineIds } : {}),
  };
}

function Form({ fleet, onDone }: AddCampaignProps & { fleet: Fleet }) {
  const [entered, setEntered] = useState(nothing);
  const [wrong, setWrong] = useState<string | null>(null);
  const added = useAct<CampaignWithProgress>(onDone);
  const submit = (event: Event) => {
    event.preventDefault();
    const body = bodyOf(entered, fleet.machines);
    setWrong(typeof body === "string" ? body : null);
    if (typeof body !== "string") void added.send("/v1/campaigns", body);
  };
  const enter = (part: Partial<Entered>) => {
    setWrong(null);
    setEntered((before) => ({ ...before, ...part }));
  };
  return (
    <form class="paper-form" onSubmit={submit}>
      <Fields {...{ fleet, entered, enter }} />
      <p class="notice">{say(`campaigns.follows.${entered.grounds}`)}</p>
      {wrong !== null && (
        <p class="trouble" role="alert">
          {wrong}
        </p>
      )}
      <Trouble error={added.error} />
      <button type="submit" class="main" disabled={added.busy}>
        {say("campaigns.add.do")}
      </button>
    </form>
  );
}

interface FieldsProps {
  readonly fleet: Fleet;
  readonly entered: Entered;
  readonly enter: (part: Partial<Entered>) => void;
}

function Fields({ fleet, entered: { name, itemId, job, modelIds, marks, grounds, dueDay }, enter }: FieldsProps) {
  return (
    <>
      <label>
        <span>{say("campaigns.name")}</span>
        <input
          required
          dir="auto"
          maxLength={limits.campaignName}
          value={name}
          onInput={(event) => enter({ name: event.currentTarget.value })}
        />
      </label>
      <label>
        <span>{say("campaigns.job")}</span>
        <textarea
          required
          dir="auto"
          rows={3}
          maxLength={limits.note}
          value={job}
          onInput={(event) => enter({ job: event.currentTarget.value })}
        />
      </label>
      <Pick
        label={say("campaigns.item")}
        value={itemId}
        options={[
          { value: "", text: say("campaigns.item.none") },
          ...weeklyItems.map(({ id }) => ({ value: id, text: itemName(id, language()) })),
        ]}
        onChange={(value) => enter({ itemId: value })}
      />
      <Models {...fleet} modelIds={modelIds} onChange={(ids) => enter({ modelIds: ids })} />
      <label>
        <span>{say("campaigns.marks")}</span>
        <textarea class="mono" spellcheck={false} rows={2} value={marks} onInput={(event) => enter({ marks: event.currentTarget.value })} />
      </label>
      <Choice
        label={say("campaigns.grounds")}
        value={grounds}
        options={(["true", "false"] as const).map((value) => ({ value, text: say(`campaigns.grounds.${value}`) }))}
        onChange={(value) => enter({ grounds: value })}
      />
      <label class="short">
        <span>{say("campaigns.due")}</span>
        <input
          type="date"
          required
          min={localText(new Date()).slice(0, 10)}
          value={dueDay}
          onInput={(event) => enter({ dueDay: event.currentTarget.value })}
        />
      </label>
    </>
  );
}

interface ModelsProps extends Fleet {
  readonly modelIds: readonly string[];
  readonly onChange: (modelIds: readonly string[]) => void;
}

/** The models of which one's depots have machines, each with how many. */
function Models({ models, machines, modelIds, onChange }: ModelsProps) {
  const counted = models
    .map(({ id, name }) => ({ id, name, count: machines.filter(({ modelId }) => modelId === id).length }))
    .filter(({ count }) => count > 0);
  return (
    <fieldset>
      <legend>{say("campaigns.models")}</legend>
      {counted.map(({ id, name, count }) => (
        <label key={id} class="tick">
          <input
            type="checkbox"
            checked={modelIds.includes(id)}
            onChange={({ currentTarget: { checked } }) => onChange(checked ? [...modelIds, id] : modelIds.filter((one) => one !== id))}
          />{" "}
          <span dir="auto">{sayCounted("campaigns.model", count, { model: name })}</span>
        </label>
      ))}
    </fieldset>
  );
}
