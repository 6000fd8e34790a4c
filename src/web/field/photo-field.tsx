// Taking a photo: shrunk on the device, kept for sending, and a sentence where the file is not a picture.

import { useState } from "preact/hooks";
import { limits } from "../../../shared/contracts/limits.ts";
import { say } from "../frame/words.ts";
import { shrink } from "./photo.ts";

interface PhotoFieldProps {
  readonly count: number;
  /** keeps the picture for sending and answers its id */
  readonly keepPhoto: (picture: Blob) => Promise<string>;
  readonly onPhoto: (id: string) => void;
}

export function PhotoField({ count, keepPhoto, onPhoto }: PhotoFieldProps) {
  const [trouble, setTrouble] = useState(false);
  const add = async (input: HTMLInputElement) => {
    const file = input.files?.[0];
    input.value = "";
    if (!file) return;
    setTrouble(false);
    try {
      onPhoto(await keepPhoto(await shrink(file)));
    } catch {
      setTrouble(true);
    }
  };
  return (
    <>
      <div class="photo row">
        {count < limits.photos && (
          <label class="button">
            <span>{say("walk.photo")}</span>
            <input class="hidden" type="file" accept="image/*" capture="environment" onChange={(event) => void add(event.currentTarget)} />
          </label>
        )}
        <span role="status">{count > 0 && say(count < limits.photos ? "walk.photos" : "walk.photos.most", { count })}</span>
      </div>
      {trouble && (
        <p class="notice" role="alert">
          {say("walk.photo.trouble")}
        </p>
      )}
    </>
  );
}
