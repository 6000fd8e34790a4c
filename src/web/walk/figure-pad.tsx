// Number keys for one figure of a walk: the reading of the day, the odometer, a reading after something was put right.
import { useState } from "preact/hooks";
import type { Unit } from "../../../shared/contracts/quantities.ts";
import { NumberPad, valueTyped } from "../field/number-pad.tsx";
import { say } from "../frame/words.ts";

interface FigurePadProps {
  readonly label: string;
  readonly unit: Unit;
  readonly most?: number;
  /** the figure that it begins with */
  readonly first: number | null;
  readonly onFigure: (value: number | null) => void;
}

/** Number keys that keep what was typed as it was typed: `2.` is no figure yet. */
export function FigurePad({ label, unit, most, first, onFigure }: FigurePadProps) {
  const [text, setText] = useState(first === null ? "" : String(first));
  return (
    <NumberPad
      label={label}
      unit={say(`unit.${unit}`)}
      text={text}
      decimals={unit !== "percent" && unit !== "km"}
      {...(most === undefined ? {} : { most })}
      onText={(next) => {
        setText(next);
        onFigure(valueTyped(next));
      }}
    />
  );
}
