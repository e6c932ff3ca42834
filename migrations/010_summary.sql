-- Why: what a list tells of a drink is read from its result and from nothing else, so that nothing is worked out for it.
-- Three things of it were not kept: for how many the amounts are, the garnish as it was read, and the glass of a drink
-- whose size is not known (named in `glass` from now on, without a capacity). Results are worked out from the specs: all
-- of them are stale once.
-- And a drink is found by its name without looking at every other.

ALTER TABLE result ADD COLUMN serves REAL CHECK (serves > 0);  -- NULL where the amounts are for one
ALTER TABLE result ADD COLUMN garnish TEXT;                    -- in the writer's words, `; ` between several

CREATE INDEX drink_by_name ON drink (name_key);

INSERT OR IGNORE INTO stale (scope, what) VALUES ('all', '');
