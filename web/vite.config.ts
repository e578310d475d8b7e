import { svelte } from '@sveltejs/vite-plugin-svelte'
import { defineConfig } from 'vitest/config'
import { lean } from './scripts/lean'
import { notices } from './scripts/notices'

/** Where the python server listens while the page is being developed. */
const server = process.env.PLANEWRIGHT ?? 'http://127.0.0.1:8737'

/** The python server knows only its own address; the proxy speaks in its name. */
const proxy = { target: server, changeOrigin: true, headers: { origin: server } }

export default defineConfig({
  plugins: [svelte(), lean(), notices()],
  build: {
    outDir: '../src/planewright/_web',
    emptyOutDir: true,
    assetsInlineLimit: 0,
    chunkSizeWarningLimit: 700,
    modulePreload: { polyfill: false },
    target: 'es2022',
  },
  server: { host: '127.0.0.1', proxy: { '/api': proxy, '/ws': { ...proxy, ws: true } } },
  test: { environment: 'node', include: ['src/**/*.test.ts'] },
})
