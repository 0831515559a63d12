import { chromium } from 'playwright-core'; import { execFileSync } from 'node:child_process';
const b = await chromium.launch({executablePath:'/usr/bin/chromium',args:['--no-sandbox','--disable-gpu','--disable-dev-shm-usage']});
const p = await b.newPage();
for (const f of process.argv.slice(2)) { await p.goto('file://'+f); const pdf=f.replace(/html$/,'pdf'); await p.pdf({path:pdf,format:'A4',printBackground:false}); execFileSync('gs',['-q','-dBATCH','-dNOPAUSE','-sDEVICE=png16m','-r100','-dTextAlphaBits=4','-dGraphicsAlphaBits=4',`-sOutputFile=${f.replace(/html$/,'')}%d.png`,pdf]); }
await b.close();
