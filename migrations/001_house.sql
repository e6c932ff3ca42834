-- Why: the first schema of a house. The spec as typed is the truth; steps, pours, figures, verdicts
-- and findings are worked out from it and kept so that any SQLite client can ask for them.
-- Names are matched on a folded key (case, accents and spacing aside) and shown as typed.
-- Written amounts and money are decimal or fraction text, never floating point.

-- The mark in the file's header that says whose it is: "WASH".
PRAGMA application_id = 1463898952;

-- What the house sets for all its books: one row a setting, as a book would write it.
CREATE TABLE setting (
    name  TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;

-- A book of drinks: a list, a house, a season.
CREATE TABLE book (
    id            INTEGER PRIMARY KEY,
    title         TEXT NOT NULL,
    title_key     TEXT NOT NULL UNIQUE,
    file          TEXT NOT NULL,
    opening_text  TEXT NOT NULL,               -- title, settings and notes as typed
    settings_json TEXT NOT NULL CHECK (json_valid(settings_json)),
    added_at      TEXT                         -- as the caller gives it, ISO 8601
) STRICT;

CREATE TABLE drink (
    id         INTEGER PRIMARY KEY,
    book_id    INTEGER NOT NULL REFERENCES book ON DELETE CASCADE,
    name       TEXT NOT NULL,
    name_key   TEXT NOT NULL,
    position   INTEGER NOT NULL CHECK (position >= 0),  -- its place in the book
    line       INTEGER NOT NULL CHECK (line >= 1),      -- the line of its heading
    removed_at TEXT,                           -- no longer in the book since; '' where no time was given
    UNIQUE (book_id, name_key)
) STRICT;

-- Every version of a spec that was ever added; the highest is the one poured.
CREATE TABLE spec_version (
    id             INTEGER PRIMARY KEY,
    drink_id       INTEGER NOT NULL REFERENCES drink ON DELETE CASCADE,
    version        INTEGER NOT NULL CHECK (version >= 1),
    spec_text      TEXT NOT NULL,              -- as typed, heading and all
    written_text   TEXT NOT NULL,              -- as the program writes it: what "unchanged" is judged by
    glass          TEXT,
    garnish        TEXT,
    price          TEXT,
    price_currency TEXT,
    added_at       TEXT,
    UNIQUE (drink_id, version)
) STRICT;

CREATE TABLE step (
    spec_version_id INTEGER NOT NULL REFERENCES spec_version ON DELETE CASCADE,
    position        INTEGER NOT NULL CHECK (position >= 0),
    sort            TEXT NOT NULL,             -- pour, work, ice, strain, unstrained, over_ice, neat, rest, garnish
    step_text       TEXT NOT NULL,
    amount          TEXT,                      -- exact: decimal or fraction
    unit            TEXT,
    ingredient      TEXT,                      -- as typed
    PRIMARY KEY (spec_version_id, position)
) STRICT, WITHOUT ROWID;

-- The reference library (a copy for readers), what the house pours, and what a book defines for itself.
CREATE TABLE ingredient (
    id           INTEGER PRIMARY KEY,
    name         TEXT NOT NULL,
    name_key     TEXT NOT NULL,
    origin       TEXT NOT NULL CHECK (origin IN ('library', 'house', 'book')),
    book_id      INTEGER REFERENCES book ON DELETE CASCADE,
    kind         TEXT NOT NULL,
    basis        TEXT NOT NULL CHECK (basis IN ('litre', 'mass')),
    carbonated   INTEGER NOT NULL CHECK (carbonated IN (0, 1)),
    allergens_eu TEXT NOT NULL,                -- `milk; nuts?` (? = may contain), `none` or `unknown`
    allergens_us TEXT NOT NULL,
    groups       TEXT NOT NULL,                -- `;` between them
    aliases      TEXT NOT NULL,
    caution      TEXT NOT NULL,
    note         TEXT NOT NULL,
    CHECK ((origin = 'book') = (book_id IS NOT NULL))
) STRICT;
CREATE UNIQUE INDEX ingredient_by_key ON ingredient (name_key, origin, ifnull(book_id, 0));

CREATE TABLE ingredient_value (
    ingredient_id INTEGER NOT NULL REFERENCES ingredient ON DELETE CASCADE,
    quantity      TEXT NOT NULL,
    convention    TEXT NOT NULL CHECK (convention IN ('', 'handbook', 'assay')),
    unit          TEXT NOT NULL,
    value         REAL NOT NULL,
    low           REAL NOT NULL,
    high          REAL NOT NULL,
    shape         TEXT NOT NULL CHECK (shape IN ('exact', 'normal', 'rectangular')),
    source        TEXT NOT NULL CHECK (source <> ''),
    status        TEXT NOT NULL CHECK (status IN ('measured', 'read', 'computed', 'practice', 'memory')),
    PRIMARY KEY (ingredient_id, quantity, convention),
    CHECK (0 <= low AND low <= value AND value <= high)
) STRICT, WITHOUT ROWID;

-- Ranges the house sets for itself; they stand over the published ones.
CREATE TABLE house_range (
    structure TEXT NOT NULL,
    measure   TEXT NOT NULL CHECK (measure IN ('abv_pct', 'sugar_g_per_100ml', 'acid_g_per_100ml')),
    low       REAL NOT NULL,
    high      REAL NOT NULL,
    decimals  INTEGER NOT NULL CHECK (decimals BETWEEN 0 AND 4),
    source    TEXT NOT NULL CHECK (source <> ''),
    PRIMARY KEY (structure, measure),
    CHECK (0 <= low AND low <= high)
) STRICT, WITHOUT ROWID;

-- What a spec comes to. The fingerprint is of everything it depends on: the spec, the settings, the
-- ingredients it pours, the ranges, the model. A result whose fingerprint no longer fits is worked
-- out again before anything is shown.
CREATE TABLE result (
    id                INTEGER PRIMARY KEY,
    spec_version_id   INTEGER NOT NULL UNIQUE REFERENCES spec_version ON DELETE CASCADE,
    fingerprint       TEXT NOT NULL,
    structure         TEXT,                    -- NULL where the method is missing
    melt_model        TEXT NOT NULL CHECK (melt_model IN ('handbook', 'given', 'none')),
    convention        TEXT NOT NULL CHECK (convention IN ('handbook', 'assay')),
    standard_drink    TEXT NOT NULL,           -- the country whose standard drinks are counted
    glass             TEXT,
    glass_capacity_ml REAL CHECK (glass_capacity_ml > 0),
    glass_fill_pct    REAL CHECK (glass_fill_pct >= 0),
    allergens_eu      TEXT NOT NULL,
    allergens_us      TEXT NOT NULL,
    cautions          TEXT NOT NULL            -- one a line
) STRICT;

CREATE TABLE figure (
    result_id INTEGER NOT NULL REFERENCES result ON DELETE CASCADE,
    stage     TEXT NOT NULL CHECK (stage IN ('before', 'glass')),  -- before any ice; what there is to drink
    figure    TEXT NOT NULL,                   -- its unit stands in its name
    value     REAL,                            -- NULL where it has no meaning (a ratio without acid)
    low       REAL,
    high      REAL,
    PRIMARY KEY (result_id, stage, figure)
) STRICT, WITHOUT ROWID;

CREATE TABLE verdict (
    result_id INTEGER NOT NULL REFERENCES result ON DELETE CASCADE,
    measure   TEXT NOT NULL CHECK (measure IN ('abv_pct', 'sugar_g_per_100ml', 'acid_g_per_100ml')),
    verdict   TEXT NOT NULL CHECK (verdict IN ('in', 'edge', 'outside', 'no band')),
    PRIMARY KEY (result_id, measure)
) STRICT, WITHOUT ROWID;

CREATE TABLE finding (
    result_id INTEGER NOT NULL REFERENCES result ON DELETE CASCADE,
    position  INTEGER NOT NULL CHECK (position >= 0),
    kind      TEXT NOT NULL,
    severity  TEXT NOT NULL CHECK (severity IN ('note', 'edge', 'outside', 'fault')),
    measure   TEXT,
    message   TEXT NOT NULL,
    detail    TEXT NOT NULL CHECK (json_valid(detail)),  -- the numbers in it
    PRIMARY KEY (result_id, position)
) STRICT, WITHOUT ROWID;
CREATE INDEX finding_by_severity ON finding (severity, result_id);

CREATE TABLE assumption (
    result_id INTEGER NOT NULL REFERENCES result ON DELETE CASCADE,
    position  INTEGER NOT NULL CHECK (position >= 0),
    about     TEXT NOT NULL,
    taken     TEXT NOT NULL,
    change    TEXT NOT NULL,
    PRIMARY KEY (result_id, position)
) STRICT, WITHOUT ROWID;

-- What each step of a spec brings, worked out.
CREATE TABLE pour (
    result_id      INTEGER NOT NULL REFERENCES result ON DELETE CASCADE,
    position       INTEGER NOT NULL CHECK (position >= 0),
    ingredient     TEXT NOT NULL,
    ingredient_key TEXT NOT NULL,
    written        TEXT NOT NULL,              -- the amount as written
    place          TEXT NOT NULL CHECK (place IN ('in', 'top', 'float', 'rinse', 'mist')),
    volume_ml      REAL NOT NULL CHECK (volume_ml >= 0),
    mass_g         REAL NOT NULL CHECK (mass_g >= 0),
    ethanol_g      REAL NOT NULL CHECK (ethanol_g >= 0),
    sugar_g        REAL NOT NULL CHECK (sugar_g >= 0),
    acid_g         REAL NOT NULL CHECK (acid_g >= 0),  -- titratable, as citric
    PRIMARY KEY (result_id, position)
) STRICT, WITHOUT ROWID;
CREATE INDEX pour_by_ingredient ON pour (ingredient_key, result_id);

-- ---- Views for readers: any SQLite client, notebook or spreadsheet.

-- The spec that is poured: the last version of every drink that has not been removed.
CREATE VIEW current_spec AS
SELECT s.id, s.drink_id, s.version, s.spec_text, s.written_text, s.glass, s.garnish, s.price,
       coalesce(s.price_currency, json_extract(b.settings_json, '$.currency'), (SELECT value FROM setting WHERE name = 'currency')) AS price_currency,
       s.added_at, d.name AS drink, d.name_key AS drink_key, d.position AS drink_position, d.line, b.title AS book, b.id AS book_id
FROM spec_version s
JOIN drink d ON d.id = s.drink_id
JOIN book b ON b.id = d.book_id
WHERE d.removed_at IS NULL
  AND s.version = (SELECT max(version) FROM spec_version v WHERE v.drink_id = d.id);

-- One row a drink: its figures in the glass, its verdicts, how full its glass is.
CREATE VIEW drink_balance AS
SELECT c.drink, c.book, r.structure, r.melt_model, r.convention,
       max(f.value) FILTER (WHERE f.figure = 'volume_ml')             AS volume_ml,
       max(f.value) FILTER (WHERE f.figure = 'abv_pct')               AS abv_pct,
       max(f.value) FILTER (WHERE f.figure = 'sugar_g_per_100ml')     AS sugar_g_per_100ml,
       max(f.value) FILTER (WHERE f.figure = 'acid_g_per_100ml')      AS acid_g_per_100ml,
       max(f.value) FILTER (WHERE f.figure = 'sugar_to_acid')         AS sugar_to_acid,
       max(f.value) FILTER (WHERE f.figure = 'water_gained_ml')       AS water_gained_ml,
       max(f.value) FILTER (WHERE f.figure = 'ethanol_g')             AS ethanol_g,
       max(f.value) FILTER (WHERE f.figure = 'standard_drinks')       AS standard_drinks,
       r.standard_drink                                               AS standard_drinks_of,
       max(f.value) FILTER (WHERE f.figure = 'energy_kj')             AS energy_kj,
       (SELECT verdict FROM verdict v WHERE v.result_id = r.id AND v.measure = 'abv_pct')           AS strength_verdict,
       (SELECT verdict FROM verdict v WHERE v.result_id = r.id AND v.measure = 'sugar_g_per_100ml') AS sweetness_verdict,
       (SELECT verdict FROM verdict v WHERE v.result_id = r.id AND v.measure = 'acid_g_per_100ml')  AS tartness_verdict,
       r.glass, r.glass_capacity_ml, r.glass_fill_pct, c.price, c.price_currency, r.allergens_eu, r.allergens_us
FROM current_spec c
JOIN result r ON r.spec_version_id = c.id
JOIN figure f ON f.result_id = r.id AND f.stage = 'glass'
GROUP BY r.id;

-- One row a finding, the gravest first.
CREATE VIEW flagged AS
SELECT c.drink, c.book, f.severity, f.kind, f.measure, f.message
FROM finding f
JOIN result r ON r.id = f.result_id
JOIN current_spec c ON c.id = r.spec_version_id
ORDER BY CASE f.severity WHEN 'fault' THEN 0 WHEN 'outside' THEN 1 WHEN 'edge' THEN 2 ELSE 3 END, c.drink_key, f.position;

-- One row a pour.
CREATE VIEW pours AS
SELECT c.drink, c.book, p.position, p.place, p.written, p.ingredient, p.volume_ml, p.mass_g, p.ethanol_g, p.sugar_g, p.acid_g
FROM pour p
JOIN result r ON r.id = p.result_id
JOIN current_spec c ON c.id = r.spec_version_id;

-- One row a value of an ingredient, with its source.
CREATE VIEW ingredient_values AS
SELECT i.name AS ingredient, i.origin, i.kind, v.quantity, v.value, v.low, v.high, v.unit, v.shape, v.convention, v.source, v.status
FROM ingredient i
JOIN ingredient_value v ON v.ingredient_id = i.id;
