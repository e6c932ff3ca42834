-- Why: a house writes its syrups, cordials, infusions and batches down as it writes its drinks, and pours them.
-- The text as typed is the truth, every version of it is kept; what it comes to is a copy for readers, worked out
-- again whenever something it is made of is other than it was.

CREATE TABLE preparation (
    id         INTEGER PRIMARY KEY,
    book_id    INTEGER NOT NULL REFERENCES book ON DELETE CASCADE,
    name       TEXT NOT NULL,
    name_key   TEXT NOT NULL,
    position   INTEGER NOT NULL CHECK (position >= 0),  -- its place among the preparations of the book
    line       INTEGER NOT NULL CHECK (line >= 1),      -- the line of its heading
    removed_at TEXT,                           -- no longer in the book since; '' where no time was given
    UNIQUE (book_id, name_key)
) STRICT;

-- Every version that was ever added; the highest is the one made.
CREATE TABLE preparation_version (
    id             INTEGER PRIMARY KEY,
    preparation_id INTEGER NOT NULL REFERENCES preparation ON DELETE CASCADE,
    version        INTEGER NOT NULL CHECK (version >= 1),
    spec_text      TEXT NOT NULL,              -- as typed, heading and all
    written_text   TEXT NOT NULL,              -- as the program writes it: what "unchanged" is judged by
    added_at       TEXT,
    UNIQUE (preparation_id, version)
) STRICT;

CREATE TABLE preparation_result (
    preparation_id   INTEGER PRIMARY KEY REFERENCES preparation ON DELETE CASCADE,
    fingerprint      TEXT NOT NULL,
    yield_ml         REAL NOT NULL CHECK (yield_ml >= 0),
    yield_g          REAL NOT NULL CHECK (yield_g >= 0),
    yield_measured   INTEGER NOT NULL CHECK (yield_measured IN (0, 1)),
    abv_pct          REAL NOT NULL CHECK (abv_pct BETWEEN 0 AND 100),
    sugar_g_per_100g REAL NOT NULL CHECK (sugar_g_per_100g BETWEEN 0 AND 100),  -- degrees Brix where there is no alcohol
    sugar_g_per_l    REAL NOT NULL CHECK (sugar_g_per_l >= 0),
    acid_g_per_l     REAL NOT NULL CHECK (acid_g_per_l >= 0),                   -- titratable, as citric
    density_g_per_ml REAL NOT NULL CHECK (density_g_per_ml > 0),
    keeps            TEXT,                     -- in the writer's words; NULL where nobody says
    keeps_hours      REAL CHECK (keeps_hours > 0),
    carbonated       INTEGER NOT NULL CHECK (carbonated IN (0, 1)),
    allergens_eu     TEXT NOT NULL,
    allergens_us     TEXT NOT NULL,
    cautions         TEXT NOT NULL,            -- one a line
    warnings         TEXT NOT NULL             -- one a line
) STRICT;

-- What goes into one making of it.
CREATE TABLE preparation_part (
    preparation_id INTEGER NOT NULL REFERENCES preparation_result ON DELETE CASCADE,
    position       INTEGER NOT NULL CHECK (position >= 0),  -- its place among the steps
    ingredient     TEXT NOT NULL,
    ingredient_key TEXT NOT NULL,
    written        TEXT NOT NULL,
    volume_ml      REAL NOT NULL CHECK (volume_ml >= 0),    -- 0 of a solid that only gives its flavour
    mass_g         REAL NOT NULL CHECK (mass_g >= 0),
    PRIMARY KEY (preparation_id, position)
) STRICT, WITHOUT ROWID;
CREATE INDEX preparation_part_by_ingredient ON preparation_part (ingredient_key, preparation_id);

-- One row a preparation: what it comes to.
CREATE VIEW preparations AS
SELECT p.name AS preparation, b.title AS book, v.version, r.yield_ml, r.yield_g, r.yield_measured, r.abv_pct, r.sugar_g_per_100g,
       r.sugar_g_per_l, r.acid_g_per_l, r.density_g_per_ml, r.keeps, r.keeps_hours, r.carbonated, r.allergens_eu, r.allergens_us,
       r.cautions, r.warnings, v.spec_text
FROM preparation p
JOIN book b ON b.id = p.book_id
JOIN preparation_version v ON v.preparation_id = p.id
JOIN preparation_result r ON r.preparation_id = p.id
WHERE p.removed_at IS NULL
  AND v.version = (SELECT max(version) FROM preparation_version w WHERE w.preparation_id = p.id);

-- One row a thing that goes into a preparation.
CREATE VIEW preparation_parts AS
SELECT p.name AS preparation, b.title AS book, q.position, q.written, q.ingredient, q.volume_ml, q.mass_g
FROM preparation_part q
JOIN preparation p ON p.id = q.preparation_id AND p.removed_at IS NULL
JOIN book b ON b.id = p.book_id;
