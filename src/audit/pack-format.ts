// What a pack consists of, for those who write it and those who check it.

export const packFormat = "ferrule-audit-pack-1";

export interface ManifestFile {
  readonly name: string;
  readonly bytes: number;
  readonly sha256: string;
}

/** What is signed about a pack. */
export interface Manifest {
  readonly format: typeof packFormat;
  readonly packId: string;
  readonly firmId: string;
  readonly month: string;
  readonly depotId: string | null;
  readonly requestedBy: string;
  readonly madeAt: string;
  readonly checkpoint: number;
  readonly records: number;
  readonly chains: number;
  readonly gaps: number;
  readonly files: readonly ManifestFile[];
}

/** The two files that the manifest cannot name: itself, and itself signed. */
export const manifestFiles = ["manifest.json", "manifest.jws"] as const;
