import fc from 'fast-check';

/** Laws that name no seed of their own run on the same cases everywhere; another seed tries others. */
fc.configureGlobal({ seed: Number(process.env['PLUGWARD_LAW_SEED'] ?? 2027) });
