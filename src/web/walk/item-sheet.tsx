// What is not right at one item: picked by what is seen, with a word or a photo where that says it better.

import { mayPutRight } from "../../../shared/catalogue/sheet.ts";
import type { Item } from "../../../shared/catalogue/types.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Features } from "../../../shared/contracts/machine-model.ts";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import type { OpenDefect } from "../../../shared/rules/machine-state.ts";
import { itemHow, itemName, itemWhy, observationText } from "../../../shared/words/item-words.ts";
import { PhotoField } from "../field/photo-field.tsx";
import { Dialog } from "../frame/parts.tsx";
import { language, say } from "../frame/words.ts";
import { KnownHere } from "./known.tsx";
import { PutRight } from "./put-right.tsx";
import { type Found, foundNothing, isNothing } from "./walk.ts";

export interface ItemSheetProps {
  readonly item: Item;
  readonly features: Features;
  /** the machine that is walked round; null in a report from the road, in which nothing is put right */
  readonly onWalkOf: CheckedMachine | null;
  /** the defect that is open there already */
  readonly known: OpenDefect | null;
  readonly timeZone: string;
  readonly found: Found | null;
  /** changes what was found at this item, given what was found so far; null: nothing */
  readonly onFound: (change: (found: Found) => Found | null) => void;
  /** keeps the picture for sending and answers its id */
  readonly keepPhoto: (picture: Blob) => Promise<string>;
  readonly onClose: () => void;
}

export function ItemSheet({ item, features, onWalkOf, known, timeZone, found, onFound, keepPhoto, onClose }: ItemSheetProps) {
  const now = found ?? foundNothing;
  const toggle = (id: string) =>
    onFound((had) => ({
      ...had,
      observationIds: had.observationIds.includes(id) ? had.observationIds.filter((one) => one !== id) : [...had.observationIds, id],
    }));
  return (
    <Dialog title={itemName(item.id, language())} onClose={onClose}>
      <KnownHere {...{ known, timeZone, item, onFound, onClose }} />
      <p>{itemHow(item, features, language())}</p>
      <fieldset class="seen">
        <legend>{say("walk.seen")}</legend>
        {item.observations.map(({ id }) => (
          <label key={id}>
            <input type="checkbox" checked={now.observationIds.includes(id)} onChange={() => toggle(id)} />
            <span>{observationText(id, language())}</span>
          </label>
        ))}
      </fieldset>
      {onWalkOf !== null && mayPutRight(item, now.observationIds) && <PutRight {...{ item, now, onFound }} machine={onWalkOf} />}
      <label>
        <span>{say("walk.note")}</span>
        <textarea
          dir="auto"
          rows={2}
          maxLength={limits.note}
          value={now.note}
          onInput={({ currentTarget: { value: note } }) => onFound((had) => ({ ...had, note }))}
        />
      </label>
      <PhotoField
        count={now.photoIds.length}
        keepPhoto={keepPhoto}
        onPhoto={(id) => onFound((had) => ({ ...had, photoIds: [...had.photoIds, id] }))}
      />
      <p class="small">{itemWhy(item.id, language())}</p>
      <div class="row">
        {!isNothing(now) && (
          <button
            type="button"
            onClick={() => {
              onFound(() => null);
              onClose();
            }}
          >
            {say("walk.all-well-after-all")}
          </button>
        )}
        <button type="button" class="main" onClick={onClose}>
          {say(isNothing(now) ? "walk.nothing-noted" : "walk.done-here")}
        </button>
      </div>
    </Dialog>
  );
}
