// The parts that went in, a line each.
import { limits } from "../../../shared/contracts/limits.ts";
import { say } from "../frame/words.ts";
import { PartNumber } from "./part-number.tsx";

export interface PartEntered {
  readonly number: string;
  readonly name: string;
  readonly quantity: string;
}
const noPart: PartEntered = { number: "", name: "", quantity: "1" };

/** One line to begin with. */
export const emptyParts = (): readonly PartEntered[] => [noPart];

/** The parts as they are sent; lines without a name or a number are none. A number that the list does not know stands for the name. */
export const partsIn = (parts: readonly PartEntered[]): { name: string; quantity: number; number?: string }[] =>
  parts
    .map(({ number, name, quantity }) => ({
      ...{ name: name.trim() || number.trim(), quantity: Number(quantity) },
      ...(number.trim() === "" ? {} : { number: number.trim() }),
    }))
    .filter(({ name }) => name !== "");

interface PartFieldsProps {
  readonly parts: readonly PartEntered[];
  /** only a new part puts it right */
  readonly needed: boolean;
  readonly onParts: (parts: readonly PartEntered[]) => void;
}

export function PartFields({ parts, needed, onParts }: PartFieldsProps) {
  return (
    <fieldset class="parts">
      <legend>{say(needed ? "bench.parts.needed" : "bench.parts")}</legend>
      {parts.map((part, index) => (
        <div key={index} class="row">
          <PartNumber part={part} onPart={(next) => onParts(parts.with(index, next))} />
          <label>
            <span>{say("bench.part")}</span>
            <input
              maxLength={limits.partName}
              required={needed && index === 0 && part.number.trim() === ""}
              value={part.name}
              onInput={({ currentTarget: { value: name } }) => onParts(parts.with(index, { ...part, name }))}
            />
          </label>
          <label class="short">
            <span>{say("bench.part.quantity")}</span>
            <input
              inputMode="numeric"
              type="number"
              min={1}
              max={limits.partQuantity}
              step={1}
              required
              value={part.quantity}
              onInput={({ currentTarget: { value: quantity } }) => onParts(parts.with(index, { ...part, quantity }))}
            />
          </label>
        </div>
      ))}
      {parts.length < limits.parts && (
        <button type="button" onClick={() => onParts([...parts, noPart])}>
          {say("bench.part.more")}
        </button>
      )}
    </fieldset>
  );
}
