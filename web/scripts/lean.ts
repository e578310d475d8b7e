import type { Plugin } from 'vite'

/**
 * Leaves out of three.js the shaders of what this page never draws, and the indentation of the others: a fifth of the
 * page. It draws flat-shaded facets (Lambert, Basic) and lines with a texture at most: no physical, glossy or toon
 * materials, no shadow maps, tone mapping, morphing, skinning, batches, clipping, displacement or bump maps, probes.
 * Each of these is behind an #ifdef that stays off, or in a program that is never made. A name that is not found stops
 * the build, so that a new three.js is looked at.
 */

const UNUSED: Record<string, RegExp> = {
  physical: /^(lights_physical|envmap_physical|transmission|iridescence|clearcoat)_/,
  glossy: /^(lights_phong|lights_toon|gradientmap)_/,
  shadows: /^shadowmap_/,
  tones: /^tonemapping_pars_/,
  moving: /^(skinning|skinbase|skinnormal|morph\w*|batching)_/,
  maps: /^(bumpmap|displacementmap|alphahash|lightprobes|cube_uv_reflection|normalmap)_/,
  clipping: /^clipping_planes_/,
}
const PROGRAMS = /^#define (STANDARD|PHONG|TOON|MATCAP|NORMAL|DISTANCE)\b/
const TEXT = /^(var|const) ([\w$]+) = "((?:[^"\\]|\\.)*)";$/gm

export function lean(): Plugin {
  return {
    name: 'lean-three',
    apply: 'build',
    transform(code, id) {
      if (!id.endsWith('/three/build/three.module.js')) return null
      const missing = new Set([...Object.keys(UNUSED), 'programs'])
      const less = code.replace(TEXT, (_, word: string, name: string, text: string) => {
        const why = Object.keys(UNUSED).find((one) => UNUSED[one]?.test(name)) ?? (PROGRAMS.test(text) ? 'programs' : '')
        missing.delete(why)
        return `${word} ${name} = "${why ? '' : text.replace(/\\n(\\t)+/g, '\\n')}";`
      })
      if (missing.size > 0) throw new Error(`three.js has changed, its shaders are named otherwise: ${[...missing].join(', ')}`)
      return { code: less, map: null }
    },
  }
}
