import { chromium } from 'playwright-core'; import { readFileSync } from 'node:fs';
const b = await chromium.launch({executablePath:'/usr/bin/chromium',args:['--no-sandbox','--disable-gpu','--disable-dev-shm-usage']});
const p = await b.newPage({viewport:{width:1000,height:1400}});
for (const f of process.argv.slice(2)) { await p.goto('file://'+f); await p.screenshot({path:f.replace(/svg$/,'png')});
 const small = await p.evaluate(()=>{ const r=[]; const s=document.documentElement; const vb=s.viewBox.baseVal; for (const t of document.querySelectorAll('text')) { const bb=t.getBBox(); const m=t.getCTM(); if (bb.x<vb.x-0.5||bb.x+bb.width>vb.x+vb.width+0.5) r.push(['clip',t.textContent,bb.x,bb.width]); const fs=parseFloat(getComputedStyle(t).fontSize); if (fs<9.3) r.push(['small',fs,t.textContent]); } return [vb.width,vb.height,r]; }); console.log(f, JSON.stringify(small)); }
await b.close();
