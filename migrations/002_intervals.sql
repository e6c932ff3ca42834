-- Why: figures have intervals now, so a verdict can be too close to call, the doubt about a measure has a
-- budget, and water can come from more models than the handbook's. Results are worked out from the specs,
-- so their tables are made anew and fill up again; nothing that anyone typed is touched.

DROP VIEW pours;
DROP VIEW flagged;
DROP VIEW drink_balance;
DROP TABLE pour;
DROP TABLE assumption;
DROP TABLE finding;
DROP TABLE verdict;
DROP TABLE figure;
DROP TABLE result;

CREATE TABLE result (
    id                INTEGER PRIMARY KEY,
    spec_version_id   INTEGER NOT NULL UNIQUE REFERENCES spec_version ON DELETE CASCADE,
    fingerprint       TEXT NOT NULL,
    structure         TEXT,                    -- NULL where the method is missing
    melt_model        TEXT NOT NULL CHECK (melt_model IN ('handbook', 'heat balance', 'house', 'weighed', 'given', 'none')),
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
    low       REAL,                            -- 95 % interval
    high      REAL,
    standard_uncertainty REAL CHECK (standard_uncertainty >= 0),
    PRIMARY KEY (result_id, stage, figure)
) STRICT, WITHOUT ROWID;

CREATE TABLE verdict (
    result_id INTEGER NOT NULL REFERENCES result ON DELETE CASCADE,
    measure   TEXT NOT NULL CHECK (measure IN ('abv_pct', 'sugar_g_per_100ml', 'acid_g_per_100ml')),
    verdict   TEXT NOT NULL CHECK (verdict IN ('in', 'edge', 'outside', 'too close', 'no band')),
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

-- What the doubt about strength, sweetness and tartness is made of, the largest share first.
CREATE TABLE budget (
    result_id  INTEGER NOT NULL REFERENCES result ON DELETE CASCADE,
    position   INTEGER NOT NULL CHECK (position >= 0),
    measure    TEXT NOT NULL CHECK (measure IN ('abv_pct', 'sugar_g_per_100ml', 'acid_g_per_100ml')),
    input      TEXT NOT NULL,
    settled_by TEXT NOT NULL,                  -- what would settle it
    share      REAL NOT NULL CHECK (share BETWEEN 0 AND 1),  -- of the variance
    PRIMARY KEY (result_id, position)
) STRICT, WITHOUT ROWID;

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
       max(f.value) FILTER (WHERE f.figure = 'temperature_c')         AS temperature_c,
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

-- One row a figure in the glass with its 95 % interval.
CREATE VIEW intervals AS
SELECT c.drink, c.book, f.figure, f.value, f.low, f.high, f.standard_uncertainty
FROM figure f
JOIN result r ON r.id = f.result_id AND f.stage = 'glass'
JOIN current_spec c ON c.id = r.spec_version_id;

-- One row an input of a measure of a drink: what the doubt is made of.
CREATE VIEW doubts AS
SELECT c.drink, c.book, b.measure, b.input, b.share, b.settled_by
FROM budget b
JOIN result r ON r.id = b.result_id
JOIN current_spec c ON c.id = r.spec_version_id
ORDER BY c.drink_key, b.position;
