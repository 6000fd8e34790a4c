// Reads the machine's mark from a code with the camera, if the browser can; else says so, and the mark has to be typed.
import { useEffect, useRef, useState } from "preact/hooks";
import { Dialog } from "../frame/parts.tsx";
import { say } from "../frame/words.ts";

function end(stream: MediaStream | null): void {
  for (const track of stream?.getTracks() ?? []) track.stop();
}

/** `onText` returns whether the text names a machine; if not, the camera goes on looking. */
export function Scan({ onText, onClose }: { onText: (text: string) => boolean; onClose: () => void }) {
  const video = useRef<HTMLVideoElement>(null);
  const [trouble, setTrouble] = useState<"refused" | "none" | "unknown" | null>(null);
  useEffect(() => {
    let stream: MediaStream | null = null;
    let stopped = false;
    const look = async () => {
      const Reader = globalThis.BarcodeDetector;
      if (!Reader) return setTrouble("none");
      try {
        stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
      } catch (error) {
        return setTrouble((error as DOMException).name === "NotAllowedError" ? "refused" : "none");
      }
      const screen = video.current;
      if (stopped || !screen) return end(stream);
      screen.srcObject = stream;
      await screen.play();
      const reader = new Reader({ formats: ["qr_code", "code_128", "code_39", "data_matrix"] });
      while (!stopped) {
        const seen = await reader.detect(screen).catch(() => []);
        for (const { rawValue } of seen) {
          if (stopped || onText(rawValue)) return;
          setTrouble("unknown");
        }
        await new Promise((resolve) => setTimeout(resolve, 150));
      }
    };
    void look();
    return () => {
      stopped = true;
      end(stream);
    };
  }, []);
  return (
    <Dialog title={say("walk.scan")} onClose={onClose}>
      {trouble === "refused" || trouble === "none" ? (
        <p class="notice" role="alert">
          {say(`walk.scan.${trouble}`)}
        </p>
      ) : (
        <>
          <video ref={video} class="camera" muted playsInline aria-label={say("walk.scan.hint")} />
          <p role="status">{say(trouble === "unknown" ? "walk.scan.unknown" : "walk.scan.hint")}</p>
        </>
      )}
    </Dialog>
  );
}
