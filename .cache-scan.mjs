import { readFileSync } from 'node:fs';
const words = new Set();
const walk = (n) => { if (!n || typeof n !== 'object') return; for (const [k,v] of Object.entries(n)) { if (k==='enum' && Array.isArray(v)) v.forEach((x)=>typeof x==='string' && words.add(x)); else walk(v);} };
for (const f of ['repair-plan','shop-procedure','connector-list','rate-sheet']) walk(JSON.parse(readFileSync(`schemas/${f}.schema.json`,'utf8')));
for (const z of ['motor-bay','front-left','front-right','cabin','roof','doors','quarter-left','quarter-right','rear-floor','luggage-space','underbody']) words.add(z);
for (const f of process.argv.slice(2)) { const t = readFileSync(f,'utf8').replace(/<style[\s\S]*?<\/style>/g,'').replace(/<[^>]*>/g,'\n'); for (const w of words) { if (w.length<3||/^(sensor|error|plug|film|zone|interlock)$/.test(w)) continue; const m=t.match(new RegExp(`.{0,40}(?<![\\w-])${w}(?![\\w-]).{0,30}`)); if(m) console.log(f.split('/').pop(), '|', w, '|', m[0]); } }
