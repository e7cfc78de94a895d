// What we use of it; the package brings no types of its own.
declare module "gltf-validator" {
  export function validateBytes(bytes: Uint8Array): Promise<{
    issues: { numErrors: number; numWarnings: number };
    info: { materialCount: number };
  }>;
}
