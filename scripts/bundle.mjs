// Bundle our modules with their libraries, and our styles with the fonts, into static/built.
import { build } from 'esbuild';

const shared = { bundle: true, minify: true, outdir: 'static/built', target: ['es2022'], logLevel: 'warning' };
await build({ ...shared, entryPoints: { app: 'static/js/app.js' }, format: 'esm' });
await build({ ...shared, entryPoints: { worker: 'static/js/worker/worker.js' }, format: 'iife' });
await build({
  ...shared,
  entryPoints: { app: 'static/css/app.css', print: 'static/css/print.css' },
  loader: { '.woff2': 'file', '.woff': 'empty' },
  assetNames: 'fonts/[name]-[hash]',
});
