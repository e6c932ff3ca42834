-- Why: what was done to a house can be told and taken back, and a list can be taken out of it. Every write to what people put in is part of one entry here:
-- when, what in plain words, and each row as it was and as it became. Triggers write it down, so that nothing that
-- changes a row, this program or another one, can leave it out.

-- One row a command: what was done to the house, in order.
CREATE TABLE journal_entry (
    id        INTEGER PRIMARY KEY,
    moment    TEXT,                            -- as the caller tells it, ISO 8601
    what      TEXT NOT NULL,                   -- in plain words
    undoes    INTEGER REFERENCES journal_entry,  -- the entry that this one takes back
    undone_by INTEGER REFERENCES journal_entry   -- the entry that took this one back, as long as that stands
) STRICT;

-- One row a row that was written, in order.
CREATE TABLE journal_change (
    id         INTEGER PRIMARY KEY,
    entry_id   INTEGER NOT NULL REFERENCES journal_entry,
    table_name TEXT NOT NULL,
    row_key    ANY NOT NULL,                   -- the primary key; a JSON array of it where it has several columns
    was        TEXT,                           -- as JSON, a column a member, REAL as text of 17 digits; NULL: there was none
    became     TEXT,                           -- NULL: it is gone
    CHECK (was IS NOT NULL OR became IS NOT NULL)
) STRICT;
CREATE INDEX journal_change_by_row ON journal_change (table_name, row_key);
CREATE INDEX journal_change_by_entry ON journal_change (entry_id);

-- The entry that is being written: at most one row. This program takes it away when it is done; what another one writes
-- until then is an entry of its own.
CREATE TABLE journal_open (
    only     INTEGER PRIMARY KEY CHECK (only = 1),
    entry_id INTEGER NOT NULL REFERENCES journal_entry
) STRICT;

-- What every trigger below writes through: it opens an entry where none is open.
CREATE VIEW journal_note AS SELECT table_name, row_key, was, became FROM journal_change WHERE 0;
CREATE TRIGGER journal_note_written INSTEAD OF INSERT ON journal_note BEGIN
    INSERT INTO journal_entry (moment, what) SELECT strftime('%Y-%m-%dT%H:%M:%SZ', 'now'), 'written by another program'
        WHERE NOT EXISTS (SELECT 1 FROM journal_open);
    INSERT INTO journal_open (only, entry_id) SELECT 1, (SELECT max(id) FROM journal_entry)
        WHERE NOT EXISTS (SELECT 1 FROM journal_open);
    INSERT INTO journal_change (entry_id, table_name, row_key, was, became)
        SELECT entry_id, NEW.table_name, NEW.row_key, NEW.was, NEW.became FROM journal_open;
END;

-- For readers: one row a row that was written.
CREATE VIEW journal AS
SELECT e.id AS entry, e.moment, e.what, e.undone_by IS NOT NULL AS is_undone, c.table_name, c.row_key, c.was, c.became
FROM journal_entry e
JOIN journal_change c ON c.entry_id = e.id
ORDER BY c.id;

-- A list that was taken out of the house keeps its text and what stood on it.
ALTER TABLE book ADD COLUMN removed_at TEXT;   -- no longer in the house since; '' where no time was given

DROP VIEW price_list;
CREATE VIEW price_list AS
SELECT p.name, p.offer, p.package, p.packs, p.each_amount, p.sold_by, p.price, p.currency, p.tax_pct, p.tax_included, p.deposit,
       p.yield_text, p.waste_pct, p.loss_pct, p.portion, p.source, p.since, b.title AS book
FROM price p
LEFT JOIN book b ON b.id = p.book_id
WHERE p.offer <> 'withdrawn'
  AND b.removed_at IS NULL
  AND p.since = (SELECT max(since) FROM price q WHERE q.name_key = p.name_key AND q.book_id IS p.book_id);

-- Every table that people fill. What is worked out has none, nor has the copy of the library.

CREATE TRIGGER journal_setting_insert AFTER INSERT ON setting
    WHEN NEW.name <> 'library' BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('setting', NEW.name, NULL,
            json_object('name', NEW.name, 'value', NEW.value));
END;

CREATE TRIGGER journal_setting_update AFTER UPDATE ON setting
    WHEN NEW.name <> 'library'
     AND OLD.name IS NEW.name
     AND OLD.value IS NOT NEW.value BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('setting', NEW.name, json_object('name', OLD.name, 'value', OLD.value),
            json_object('name', NEW.name, 'value', NEW.value));
END;

CREATE TRIGGER journal_setting_rekeyed AFTER UPDATE ON setting
    WHEN NEW.name <> 'library'
     AND OLD.name IS NOT NEW.name BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('setting', OLD.name, json_object('name', OLD.name, 'value', OLD.value),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('setting', NEW.name, NULL,
            json_object('name', NEW.name, 'value', NEW.value));
END;

CREATE TRIGGER journal_setting_delete AFTER DELETE ON setting
    WHEN OLD.name <> 'library' BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('setting', OLD.name, json_object('name', OLD.name, 'value', OLD.value),
            NULL);
END;

CREATE TRIGGER journal_book_insert AFTER INSERT ON book BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('book', NEW.id, NULL,
            json_object('id', NEW.id, 'title', NEW.title, 'title_key', NEW.title_key, 'file', NEW.file,
            'opening_text', NEW.opening_text, 'settings_json', NEW.settings_json, 'added_at', NEW.added_at,
            'removed_at', NEW.removed_at));
END;

CREATE TRIGGER journal_book_update AFTER UPDATE ON book
    WHEN OLD.id IS NEW.id
     AND (OLD.title, OLD.title_key, OLD.file, OLD.opening_text, OLD.settings_json, OLD.added_at, OLD.removed_at) IS NOT
         (NEW.title, NEW.title_key, NEW.file, NEW.opening_text, NEW.settings_json, NEW.added_at, NEW.removed_at) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('book', NEW.id, json_object('id', OLD.id, 'title', OLD.title, 'title_key', OLD.title_key, 'file', OLD.file,
            'opening_text', OLD.opening_text, 'settings_json', OLD.settings_json, 'added_at', OLD.added_at,
            'removed_at', OLD.removed_at),
            json_object('id', NEW.id, 'title', NEW.title, 'title_key', NEW.title_key, 'file', NEW.file,
            'opening_text', NEW.opening_text, 'settings_json', NEW.settings_json, 'added_at', NEW.added_at,
            'removed_at', NEW.removed_at));
END;

CREATE TRIGGER journal_book_rekeyed AFTER UPDATE ON book
    WHEN OLD.id IS NOT NEW.id BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('book', OLD.id, json_object('id', OLD.id, 'title', OLD.title, 'title_key', OLD.title_key, 'file', OLD.file,
            'opening_text', OLD.opening_text, 'settings_json', OLD.settings_json, 'added_at', OLD.added_at,
            'removed_at', OLD.removed_at),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('book', NEW.id, NULL,
            json_object('id', NEW.id, 'title', NEW.title, 'title_key', NEW.title_key, 'file', NEW.file,
            'opening_text', NEW.opening_text, 'settings_json', NEW.settings_json, 'added_at', NEW.added_at,
            'removed_at', NEW.removed_at));
END;

CREATE TRIGGER journal_book_delete AFTER DELETE ON book BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('book', OLD.id, json_object('id', OLD.id, 'title', OLD.title, 'title_key', OLD.title_key, 'file', OLD.file,
            'opening_text', OLD.opening_text, 'settings_json', OLD.settings_json, 'added_at', OLD.added_at,
            'removed_at', OLD.removed_at),
            NULL);
END;

CREATE TRIGGER journal_book_text_insert AFTER INSERT ON book_text BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('book_text', NEW.book_id, NULL,
            json_object('book_id', NEW.book_id, 'book_text', NEW.book_text));
END;

CREATE TRIGGER journal_book_text_update AFTER UPDATE ON book_text
    WHEN OLD.book_id IS NEW.book_id
     AND OLD.book_text IS NOT NEW.book_text BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('book_text', NEW.book_id, json_object('book_id', OLD.book_id, 'book_text', OLD.book_text),
            json_object('book_id', NEW.book_id, 'book_text', NEW.book_text));
END;

CREATE TRIGGER journal_book_text_rekeyed AFTER UPDATE ON book_text
    WHEN OLD.book_id IS NOT NEW.book_id BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('book_text', OLD.book_id, json_object('book_id', OLD.book_id, 'book_text', OLD.book_text),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('book_text', NEW.book_id, NULL,
            json_object('book_id', NEW.book_id, 'book_text', NEW.book_text));
END;

CREATE TRIGGER journal_book_text_delete AFTER DELETE ON book_text BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('book_text', OLD.book_id, json_object('book_id', OLD.book_id, 'book_text', OLD.book_text),
            NULL);
END;

CREATE TRIGGER journal_drink_insert AFTER INSERT ON drink BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('drink', NEW.id, NULL,
            json_object('id', NEW.id, 'book_id', NEW.book_id, 'name', NEW.name, 'name_key', NEW.name_key,
            'position', NEW.position, 'line', NEW.line, 'removed_at', NEW.removed_at));
END;

CREATE TRIGGER journal_drink_update AFTER UPDATE ON drink
    WHEN OLD.id IS NEW.id
     AND (OLD.book_id, OLD.name, OLD.name_key, OLD.position, OLD.line, OLD.removed_at) IS NOT
         (NEW.book_id, NEW.name, NEW.name_key, NEW.position, NEW.line, NEW.removed_at) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('drink', NEW.id, json_object('id', OLD.id, 'book_id', OLD.book_id, 'name', OLD.name, 'name_key', OLD.name_key,
            'position', OLD.position, 'line', OLD.line, 'removed_at', OLD.removed_at),
            json_object('id', NEW.id, 'book_id', NEW.book_id, 'name', NEW.name, 'name_key', NEW.name_key,
            'position', NEW.position, 'line', NEW.line, 'removed_at', NEW.removed_at));
END;

CREATE TRIGGER journal_drink_rekeyed AFTER UPDATE ON drink
    WHEN OLD.id IS NOT NEW.id BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('drink', OLD.id, json_object('id', OLD.id, 'book_id', OLD.book_id, 'name', OLD.name, 'name_key', OLD.name_key,
            'position', OLD.position, 'line', OLD.line, 'removed_at', OLD.removed_at),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('drink', NEW.id, NULL,
            json_object('id', NEW.id, 'book_id', NEW.book_id, 'name', NEW.name, 'name_key', NEW.name_key,
            'position', NEW.position, 'line', NEW.line, 'removed_at', NEW.removed_at));
END;

CREATE TRIGGER journal_drink_delete AFTER DELETE ON drink BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('drink', OLD.id, json_object('id', OLD.id, 'book_id', OLD.book_id, 'name', OLD.name, 'name_key', OLD.name_key,
            'position', OLD.position, 'line', OLD.line, 'removed_at', OLD.removed_at),
            NULL);
END;

CREATE TRIGGER journal_spec_version_insert AFTER INSERT ON spec_version BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('spec_version', NEW.id, NULL,
            json_object('id', NEW.id, 'drink_id', NEW.drink_id, 'version', NEW.version, 'spec_text', NEW.spec_text,
            'written_text', NEW.written_text, 'glass', NEW.glass, 'garnish', NEW.garnish, 'price', NEW.price,
            'price_currency', NEW.price_currency, 'added_at', NEW.added_at));
END;

CREATE TRIGGER journal_spec_version_update AFTER UPDATE ON spec_version
    WHEN OLD.id IS NEW.id
     AND (OLD.drink_id, OLD.version, OLD.spec_text, OLD.written_text, OLD.glass, OLD.garnish, OLD.price, OLD.price_currency, OLD.added_at) IS NOT
         (NEW.drink_id, NEW.version, NEW.spec_text, NEW.written_text, NEW.glass, NEW.garnish, NEW.price, NEW.price_currency, NEW.added_at) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('spec_version', NEW.id, json_object('id', OLD.id, 'drink_id', OLD.drink_id, 'version', OLD.version, 'spec_text', OLD.spec_text,
            'written_text', OLD.written_text, 'glass', OLD.glass, 'garnish', OLD.garnish, 'price', OLD.price,
            'price_currency', OLD.price_currency, 'added_at', OLD.added_at),
            json_object('id', NEW.id, 'drink_id', NEW.drink_id, 'version', NEW.version, 'spec_text', NEW.spec_text,
            'written_text', NEW.written_text, 'glass', NEW.glass, 'garnish', NEW.garnish, 'price', NEW.price,
            'price_currency', NEW.price_currency, 'added_at', NEW.added_at));
END;

CREATE TRIGGER journal_spec_version_rekeyed AFTER UPDATE ON spec_version
    WHEN OLD.id IS NOT NEW.id BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('spec_version', OLD.id, json_object('id', OLD.id, 'drink_id', OLD.drink_id, 'version', OLD.version, 'spec_text', OLD.spec_text,
            'written_text', OLD.written_text, 'glass', OLD.glass, 'garnish', OLD.garnish, 'price', OLD.price,
            'price_currency', OLD.price_currency, 'added_at', OLD.added_at),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('spec_version', NEW.id, NULL,
            json_object('id', NEW.id, 'drink_id', NEW.drink_id, 'version', NEW.version, 'spec_text', NEW.spec_text,
            'written_text', NEW.written_text, 'glass', NEW.glass, 'garnish', NEW.garnish, 'price', NEW.price,
            'price_currency', NEW.price_currency, 'added_at', NEW.added_at));
END;

CREATE TRIGGER journal_spec_version_delete AFTER DELETE ON spec_version BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('spec_version', OLD.id, json_object('id', OLD.id, 'drink_id', OLD.drink_id, 'version', OLD.version, 'spec_text', OLD.spec_text,
            'written_text', OLD.written_text, 'glass', OLD.glass, 'garnish', OLD.garnish, 'price', OLD.price,
            'price_currency', OLD.price_currency, 'added_at', OLD.added_at),
            NULL);
END;

CREATE TRIGGER journal_step_insert AFTER INSERT ON step BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('step', json_array(NEW.spec_version_id, NEW.position), NULL,
            json_object('spec_version_id', NEW.spec_version_id, 'position', NEW.position, 'sort', NEW.sort,
            'step_text', NEW.step_text, 'amount', NEW.amount, 'unit', NEW.unit, 'ingredient', NEW.ingredient));
END;

CREATE TRIGGER journal_step_update AFTER UPDATE ON step
    WHEN (OLD.spec_version_id, OLD.position) IS (NEW.spec_version_id, NEW.position)
     AND (OLD.sort, OLD.step_text, OLD.amount, OLD.unit, OLD.ingredient) IS NOT
         (NEW.sort, NEW.step_text, NEW.amount, NEW.unit, NEW.ingredient) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('step', json_array(NEW.spec_version_id, NEW.position), json_object('spec_version_id', OLD.spec_version_id, 'position', OLD.position, 'sort', OLD.sort,
            'step_text', OLD.step_text, 'amount', OLD.amount, 'unit', OLD.unit, 'ingredient', OLD.ingredient),
            json_object('spec_version_id', NEW.spec_version_id, 'position', NEW.position, 'sort', NEW.sort,
            'step_text', NEW.step_text, 'amount', NEW.amount, 'unit', NEW.unit, 'ingredient', NEW.ingredient));
END;

CREATE TRIGGER journal_step_rekeyed AFTER UPDATE ON step
    WHEN (OLD.spec_version_id, OLD.position) IS NOT (NEW.spec_version_id, NEW.position) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('step', json_array(OLD.spec_version_id, OLD.position), json_object('spec_version_id', OLD.spec_version_id, 'position', OLD.position, 'sort', OLD.sort,
            'step_text', OLD.step_text, 'amount', OLD.amount, 'unit', OLD.unit, 'ingredient', OLD.ingredient),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('step', json_array(NEW.spec_version_id, NEW.position), NULL,
            json_object('spec_version_id', NEW.spec_version_id, 'position', NEW.position, 'sort', NEW.sort,
            'step_text', NEW.step_text, 'amount', NEW.amount, 'unit', NEW.unit, 'ingredient', NEW.ingredient));
END;

CREATE TRIGGER journal_step_delete AFTER DELETE ON step BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('step', json_array(OLD.spec_version_id, OLD.position), json_object('spec_version_id', OLD.spec_version_id, 'position', OLD.position, 'sort', OLD.sort,
            'step_text', OLD.step_text, 'amount', OLD.amount, 'unit', OLD.unit, 'ingredient', OLD.ingredient),
            NULL);
END;

CREATE TRIGGER journal_preparation_insert AFTER INSERT ON preparation BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('preparation', NEW.id, NULL,
            json_object('id', NEW.id, 'book_id', NEW.book_id, 'name', NEW.name, 'name_key', NEW.name_key,
            'position', NEW.position, 'line', NEW.line, 'removed_at', NEW.removed_at));
END;

CREATE TRIGGER journal_preparation_update AFTER UPDATE ON preparation
    WHEN OLD.id IS NEW.id
     AND (OLD.book_id, OLD.name, OLD.name_key, OLD.position, OLD.line, OLD.removed_at) IS NOT
         (NEW.book_id, NEW.name, NEW.name_key, NEW.position, NEW.line, NEW.removed_at) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('preparation', NEW.id, json_object('id', OLD.id, 'book_id', OLD.book_id, 'name', OLD.name, 'name_key', OLD.name_key,
            'position', OLD.position, 'line', OLD.line, 'removed_at', OLD.removed_at),
            json_object('id', NEW.id, 'book_id', NEW.book_id, 'name', NEW.name, 'name_key', NEW.name_key,
            'position', NEW.position, 'line', NEW.line, 'removed_at', NEW.removed_at));
END;

CREATE TRIGGER journal_preparation_rekeyed AFTER UPDATE ON preparation
    WHEN OLD.id IS NOT NEW.id BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('preparation', OLD.id, json_object('id', OLD.id, 'book_id', OLD.book_id, 'name', OLD.name, 'name_key', OLD.name_key,
            'position', OLD.position, 'line', OLD.line, 'removed_at', OLD.removed_at),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('preparation', NEW.id, NULL,
            json_object('id', NEW.id, 'book_id', NEW.book_id, 'name', NEW.name, 'name_key', NEW.name_key,
            'position', NEW.position, 'line', NEW.line, 'removed_at', NEW.removed_at));
END;

CREATE TRIGGER journal_preparation_delete AFTER DELETE ON preparation BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('preparation', OLD.id, json_object('id', OLD.id, 'book_id', OLD.book_id, 'name', OLD.name, 'name_key', OLD.name_key,
            'position', OLD.position, 'line', OLD.line, 'removed_at', OLD.removed_at),
            NULL);
END;

CREATE TRIGGER journal_preparation_version_insert AFTER INSERT ON preparation_version BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('preparation_version', NEW.id, NULL,
            json_object('id', NEW.id, 'preparation_id', NEW.preparation_id, 'version', NEW.version, 'spec_text', NEW.spec_text,
            'written_text', NEW.written_text, 'added_at', NEW.added_at));
END;

CREATE TRIGGER journal_preparation_version_update AFTER UPDATE ON preparation_version
    WHEN OLD.id IS NEW.id
     AND (OLD.preparation_id, OLD.version, OLD.spec_text, OLD.written_text, OLD.added_at) IS NOT
         (NEW.preparation_id, NEW.version, NEW.spec_text, NEW.written_text, NEW.added_at) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('preparation_version', NEW.id, json_object('id', OLD.id, 'preparation_id', OLD.preparation_id, 'version', OLD.version, 'spec_text', OLD.spec_text,
            'written_text', OLD.written_text, 'added_at', OLD.added_at),
            json_object('id', NEW.id, 'preparation_id', NEW.preparation_id, 'version', NEW.version, 'spec_text', NEW.spec_text,
            'written_text', NEW.written_text, 'added_at', NEW.added_at));
END;

CREATE TRIGGER journal_preparation_version_rekeyed AFTER UPDATE ON preparation_version
    WHEN OLD.id IS NOT NEW.id BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('preparation_version', OLD.id, json_object('id', OLD.id, 'preparation_id', OLD.preparation_id, 'version', OLD.version, 'spec_text', OLD.spec_text,
            'written_text', OLD.written_text, 'added_at', OLD.added_at),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('preparation_version', NEW.id, NULL,
            json_object('id', NEW.id, 'preparation_id', NEW.preparation_id, 'version', NEW.version, 'spec_text', NEW.spec_text,
            'written_text', NEW.written_text, 'added_at', NEW.added_at));
END;

CREATE TRIGGER journal_preparation_version_delete AFTER DELETE ON preparation_version BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('preparation_version', OLD.id, json_object('id', OLD.id, 'preparation_id', OLD.preparation_id, 'version', OLD.version, 'spec_text', OLD.spec_text,
            'written_text', OLD.written_text, 'added_at', OLD.added_at),
            NULL);
END;

CREATE TRIGGER journal_ingredient_insert AFTER INSERT ON ingredient
    WHEN NEW.origin <> 'library' BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('ingredient', NEW.id, NULL,
            json_object('id', NEW.id, 'name', NEW.name, 'name_key', NEW.name_key, 'origin', NEW.origin, 'book_id', NEW.book_id,
            'kind', NEW.kind, 'basis', NEW.basis, 'carbonated', NEW.carbonated, 'allergens_eu', NEW.allergens_eu,
            'allergens_us', NEW.allergens_us, 'groups', NEW.groups, 'aliases', NEW.aliases, 'caution', NEW.caution,
            'note', NEW.note));
END;

CREATE TRIGGER journal_ingredient_update AFTER UPDATE ON ingredient
    WHEN NEW.origin <> 'library'
     AND OLD.id IS NEW.id
     AND (OLD.name, OLD.name_key, OLD.origin, OLD.book_id, OLD.kind, OLD.basis, OLD.carbonated, OLD.allergens_eu, OLD.allergens_us, OLD.groups, OLD.aliases, OLD.caution, OLD.note) IS NOT
         (NEW.name, NEW.name_key, NEW.origin, NEW.book_id, NEW.kind, NEW.basis, NEW.carbonated, NEW.allergens_eu, NEW.allergens_us, NEW.groups, NEW.aliases, NEW.caution, NEW.note) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('ingredient', NEW.id, json_object('id', OLD.id, 'name', OLD.name, 'name_key', OLD.name_key, 'origin', OLD.origin, 'book_id', OLD.book_id,
            'kind', OLD.kind, 'basis', OLD.basis, 'carbonated', OLD.carbonated, 'allergens_eu', OLD.allergens_eu,
            'allergens_us', OLD.allergens_us, 'groups', OLD.groups, 'aliases', OLD.aliases, 'caution', OLD.caution,
            'note', OLD.note),
            json_object('id', NEW.id, 'name', NEW.name, 'name_key', NEW.name_key, 'origin', NEW.origin, 'book_id', NEW.book_id,
            'kind', NEW.kind, 'basis', NEW.basis, 'carbonated', NEW.carbonated, 'allergens_eu', NEW.allergens_eu,
            'allergens_us', NEW.allergens_us, 'groups', NEW.groups, 'aliases', NEW.aliases, 'caution', NEW.caution,
            'note', NEW.note));
END;

CREATE TRIGGER journal_ingredient_rekeyed AFTER UPDATE ON ingredient
    WHEN NEW.origin <> 'library'
     AND OLD.id IS NOT NEW.id BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('ingredient', OLD.id, json_object('id', OLD.id, 'name', OLD.name, 'name_key', OLD.name_key, 'origin', OLD.origin, 'book_id', OLD.book_id,
            'kind', OLD.kind, 'basis', OLD.basis, 'carbonated', OLD.carbonated, 'allergens_eu', OLD.allergens_eu,
            'allergens_us', OLD.allergens_us, 'groups', OLD.groups, 'aliases', OLD.aliases, 'caution', OLD.caution,
            'note', OLD.note),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('ingredient', NEW.id, NULL,
            json_object('id', NEW.id, 'name', NEW.name, 'name_key', NEW.name_key, 'origin', NEW.origin, 'book_id', NEW.book_id,
            'kind', NEW.kind, 'basis', NEW.basis, 'carbonated', NEW.carbonated, 'allergens_eu', NEW.allergens_eu,
            'allergens_us', NEW.allergens_us, 'groups', NEW.groups, 'aliases', NEW.aliases, 'caution', NEW.caution,
            'note', NEW.note));
END;

CREATE TRIGGER journal_ingredient_delete AFTER DELETE ON ingredient
    WHEN OLD.origin <> 'library' BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('ingredient', OLD.id, json_object('id', OLD.id, 'name', OLD.name, 'name_key', OLD.name_key, 'origin', OLD.origin, 'book_id', OLD.book_id,
            'kind', OLD.kind, 'basis', OLD.basis, 'carbonated', OLD.carbonated, 'allergens_eu', OLD.allergens_eu,
            'allergens_us', OLD.allergens_us, 'groups', OLD.groups, 'aliases', OLD.aliases, 'caution', OLD.caution,
            'note', OLD.note),
            NULL);
END;

CREATE TRIGGER journal_ingredient_value_insert AFTER INSERT ON ingredient_value
    WHEN (SELECT origin FROM ingredient WHERE id = NEW.ingredient_id) IS NOT 'library' BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('ingredient_value', json_array(NEW.ingredient_id, NEW.quantity, NEW.convention), NULL,
            json_object('ingredient_id', NEW.ingredient_id, 'quantity', NEW.quantity, 'convention', NEW.convention,
            'unit', NEW.unit, 'value', iif(NEW.value IS NULL, NULL, format('%!.17g', NEW.value)),
            'low', iif(NEW.low IS NULL, NULL, format('%!.17g', NEW.low)),
            'high', iif(NEW.high IS NULL, NULL, format('%!.17g', NEW.high)), 'shape', NEW.shape,
            'source', NEW.source, 'status', NEW.status));
END;

CREATE TRIGGER journal_ingredient_value_update AFTER UPDATE ON ingredient_value
    WHEN (SELECT origin FROM ingredient WHERE id = NEW.ingredient_id) IS NOT 'library'
     AND (OLD.ingredient_id, OLD.quantity, OLD.convention) IS (NEW.ingredient_id, NEW.quantity, NEW.convention)
     AND (OLD.unit, OLD.value, OLD.low, OLD.high, OLD.shape, OLD.source, OLD.status) IS NOT
         (NEW.unit, NEW.value, NEW.low, NEW.high, NEW.shape, NEW.source, NEW.status) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('ingredient_value', json_array(NEW.ingredient_id, NEW.quantity, NEW.convention), json_object('ingredient_id', OLD.ingredient_id, 'quantity', OLD.quantity, 'convention', OLD.convention,
            'unit', OLD.unit, 'value', iif(OLD.value IS NULL, NULL, format('%!.17g', OLD.value)),
            'low', iif(OLD.low IS NULL, NULL, format('%!.17g', OLD.low)),
            'high', iif(OLD.high IS NULL, NULL, format('%!.17g', OLD.high)), 'shape', OLD.shape,
            'source', OLD.source, 'status', OLD.status),
            json_object('ingredient_id', NEW.ingredient_id, 'quantity', NEW.quantity, 'convention', NEW.convention,
            'unit', NEW.unit, 'value', iif(NEW.value IS NULL, NULL, format('%!.17g', NEW.value)),
            'low', iif(NEW.low IS NULL, NULL, format('%!.17g', NEW.low)),
            'high', iif(NEW.high IS NULL, NULL, format('%!.17g', NEW.high)), 'shape', NEW.shape,
            'source', NEW.source, 'status', NEW.status));
END;

CREATE TRIGGER journal_ingredient_value_rekeyed AFTER UPDATE ON ingredient_value
    WHEN (SELECT origin FROM ingredient WHERE id = NEW.ingredient_id) IS NOT 'library'
     AND (OLD.ingredient_id, OLD.quantity, OLD.convention) IS NOT (NEW.ingredient_id, NEW.quantity, NEW.convention) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('ingredient_value', json_array(OLD.ingredient_id, OLD.quantity, OLD.convention), json_object('ingredient_id', OLD.ingredient_id, 'quantity', OLD.quantity, 'convention', OLD.convention,
            'unit', OLD.unit, 'value', iif(OLD.value IS NULL, NULL, format('%!.17g', OLD.value)),
            'low', iif(OLD.low IS NULL, NULL, format('%!.17g', OLD.low)),
            'high', iif(OLD.high IS NULL, NULL, format('%!.17g', OLD.high)), 'shape', OLD.shape,
            'source', OLD.source, 'status', OLD.status),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('ingredient_value', json_array(NEW.ingredient_id, NEW.quantity, NEW.convention), NULL,
            json_object('ingredient_id', NEW.ingredient_id, 'quantity', NEW.quantity, 'convention', NEW.convention,
            'unit', NEW.unit, 'value', iif(NEW.value IS NULL, NULL, format('%!.17g', NEW.value)),
            'low', iif(NEW.low IS NULL, NULL, format('%!.17g', NEW.low)),
            'high', iif(NEW.high IS NULL, NULL, format('%!.17g', NEW.high)), 'shape', NEW.shape,
            'source', NEW.source, 'status', NEW.status));
END;

CREATE TRIGGER journal_ingredient_value_delete AFTER DELETE ON ingredient_value
    WHEN (SELECT origin FROM ingredient WHERE id = OLD.ingredient_id) IS NOT 'library' BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('ingredient_value', json_array(OLD.ingredient_id, OLD.quantity, OLD.convention), json_object('ingredient_id', OLD.ingredient_id, 'quantity', OLD.quantity, 'convention', OLD.convention,
            'unit', OLD.unit, 'value', iif(OLD.value IS NULL, NULL, format('%!.17g', OLD.value)),
            'low', iif(OLD.low IS NULL, NULL, format('%!.17g', OLD.low)),
            'high', iif(OLD.high IS NULL, NULL, format('%!.17g', OLD.high)), 'shape', OLD.shape,
            'source', OLD.source, 'status', OLD.status),
            NULL);
END;

CREATE TRIGGER journal_house_range_insert AFTER INSERT ON house_range BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('house_range', json_array(NEW.structure, NEW.measure), NULL,
            json_object('structure', NEW.structure, 'measure', NEW.measure,
            'low', iif(NEW.low IS NULL, NULL, format('%!.17g', NEW.low)),
            'high', iif(NEW.high IS NULL, NULL, format('%!.17g', NEW.high)), 'decimals', NEW.decimals,
            'source', NEW.source));
END;

CREATE TRIGGER journal_house_range_update AFTER UPDATE ON house_range
    WHEN (OLD.structure, OLD.measure) IS (NEW.structure, NEW.measure)
     AND (OLD.low, OLD.high, OLD.decimals, OLD.source) IS NOT
         (NEW.low, NEW.high, NEW.decimals, NEW.source) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('house_range', json_array(NEW.structure, NEW.measure), json_object('structure', OLD.structure, 'measure', OLD.measure,
            'low', iif(OLD.low IS NULL, NULL, format('%!.17g', OLD.low)),
            'high', iif(OLD.high IS NULL, NULL, format('%!.17g', OLD.high)), 'decimals', OLD.decimals,
            'source', OLD.source),
            json_object('structure', NEW.structure, 'measure', NEW.measure,
            'low', iif(NEW.low IS NULL, NULL, format('%!.17g', NEW.low)),
            'high', iif(NEW.high IS NULL, NULL, format('%!.17g', NEW.high)), 'decimals', NEW.decimals,
            'source', NEW.source));
END;

CREATE TRIGGER journal_house_range_rekeyed AFTER UPDATE ON house_range
    WHEN (OLD.structure, OLD.measure) IS NOT (NEW.structure, NEW.measure) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('house_range', json_array(OLD.structure, OLD.measure), json_object('structure', OLD.structure, 'measure', OLD.measure,
            'low', iif(OLD.low IS NULL, NULL, format('%!.17g', OLD.low)),
            'high', iif(OLD.high IS NULL, NULL, format('%!.17g', OLD.high)), 'decimals', OLD.decimals,
            'source', OLD.source),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('house_range', json_array(NEW.structure, NEW.measure), NULL,
            json_object('structure', NEW.structure, 'measure', NEW.measure,
            'low', iif(NEW.low IS NULL, NULL, format('%!.17g', NEW.low)),
            'high', iif(NEW.high IS NULL, NULL, format('%!.17g', NEW.high)), 'decimals', NEW.decimals,
            'source', NEW.source));
END;

CREATE TRIGGER journal_house_range_delete AFTER DELETE ON house_range BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('house_range', json_array(OLD.structure, OLD.measure), json_object('structure', OLD.structure, 'measure', OLD.measure,
            'low', iif(OLD.low IS NULL, NULL, format('%!.17g', OLD.low)),
            'high', iif(OLD.high IS NULL, NULL, format('%!.17g', OLD.high)), 'decimals', OLD.decimals,
            'source', OLD.source),
            NULL);
END;

CREATE TRIGGER journal_price_insert AFTER INSERT ON price BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('price', NEW.id, NULL,
            json_object('id', NEW.id, 'name', NEW.name, 'name_key', NEW.name_key, 'book_id', NEW.book_id, 'since', NEW.since,
            'offer', NEW.offer, 'package', NEW.package, 'packs', NEW.packs, 'each_amount', NEW.each_amount,
            'sold_by', NEW.sold_by, 'price', NEW.price, 'currency', NEW.currency, 'tax_pct', NEW.tax_pct,
            'tax_included', NEW.tax_included, 'deposit', NEW.deposit, 'yield_text', NEW.yield_text,
            'yield_amount', NEW.yield_amount, 'yield_low', NEW.yield_low, 'yield_high', NEW.yield_high,
            'yield_unit', NEW.yield_unit, 'yield_per', NEW.yield_per, 'waste_pct', NEW.waste_pct,
            'waste_low_pct', NEW.waste_low_pct, 'waste_high_pct', NEW.waste_high_pct, 'loss_pct', NEW.loss_pct,
            'loss_low_pct', NEW.loss_low_pct, 'loss_high_pct', NEW.loss_high_pct, 'portion', NEW.portion,
            'portion_amount', NEW.portion_amount, 'portion_unit', NEW.portion_unit, 'source', NEW.source));
END;

CREATE TRIGGER journal_price_update AFTER UPDATE ON price
    WHEN OLD.id IS NEW.id
     AND (OLD.name, OLD.name_key, OLD.book_id, OLD.since, OLD.offer, OLD.package, OLD.packs, OLD.each_amount, OLD.sold_by, OLD.price, OLD.currency, OLD.tax_pct, OLD.tax_included, OLD.deposit, OLD.yield_text, OLD.yield_amount, OLD.yield_low, OLD.yield_high, OLD.yield_unit, OLD.yield_per, OLD.waste_pct, OLD.waste_low_pct, OLD.waste_high_pct, OLD.loss_pct, OLD.loss_low_pct, OLD.loss_high_pct, OLD.portion, OLD.portion_amount, OLD.portion_unit, OLD.source) IS NOT
         (NEW.name, NEW.name_key, NEW.book_id, NEW.since, NEW.offer, NEW.package, NEW.packs, NEW.each_amount, NEW.sold_by, NEW.price, NEW.currency, NEW.tax_pct, NEW.tax_included, NEW.deposit, NEW.yield_text, NEW.yield_amount, NEW.yield_low, NEW.yield_high, NEW.yield_unit, NEW.yield_per, NEW.waste_pct, NEW.waste_low_pct, NEW.waste_high_pct, NEW.loss_pct, NEW.loss_low_pct, NEW.loss_high_pct, NEW.portion, NEW.portion_amount, NEW.portion_unit, NEW.source) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('price', NEW.id, json_object('id', OLD.id, 'name', OLD.name, 'name_key', OLD.name_key, 'book_id', OLD.book_id, 'since', OLD.since,
            'offer', OLD.offer, 'package', OLD.package, 'packs', OLD.packs, 'each_amount', OLD.each_amount,
            'sold_by', OLD.sold_by, 'price', OLD.price, 'currency', OLD.currency, 'tax_pct', OLD.tax_pct,
            'tax_included', OLD.tax_included, 'deposit', OLD.deposit, 'yield_text', OLD.yield_text,
            'yield_amount', OLD.yield_amount, 'yield_low', OLD.yield_low, 'yield_high', OLD.yield_high,
            'yield_unit', OLD.yield_unit, 'yield_per', OLD.yield_per, 'waste_pct', OLD.waste_pct,
            'waste_low_pct', OLD.waste_low_pct, 'waste_high_pct', OLD.waste_high_pct, 'loss_pct', OLD.loss_pct,
            'loss_low_pct', OLD.loss_low_pct, 'loss_high_pct', OLD.loss_high_pct, 'portion', OLD.portion,
            'portion_amount', OLD.portion_amount, 'portion_unit', OLD.portion_unit, 'source', OLD.source),
            json_object('id', NEW.id, 'name', NEW.name, 'name_key', NEW.name_key, 'book_id', NEW.book_id, 'since', NEW.since,
            'offer', NEW.offer, 'package', NEW.package, 'packs', NEW.packs, 'each_amount', NEW.each_amount,
            'sold_by', NEW.sold_by, 'price', NEW.price, 'currency', NEW.currency, 'tax_pct', NEW.tax_pct,
            'tax_included', NEW.tax_included, 'deposit', NEW.deposit, 'yield_text', NEW.yield_text,
            'yield_amount', NEW.yield_amount, 'yield_low', NEW.yield_low, 'yield_high', NEW.yield_high,
            'yield_unit', NEW.yield_unit, 'yield_per', NEW.yield_per, 'waste_pct', NEW.waste_pct,
            'waste_low_pct', NEW.waste_low_pct, 'waste_high_pct', NEW.waste_high_pct, 'loss_pct', NEW.loss_pct,
            'loss_low_pct', NEW.loss_low_pct, 'loss_high_pct', NEW.loss_high_pct, 'portion', NEW.portion,
            'portion_amount', NEW.portion_amount, 'portion_unit', NEW.portion_unit, 'source', NEW.source));
END;

CREATE TRIGGER journal_price_rekeyed AFTER UPDATE ON price
    WHEN OLD.id IS NOT NEW.id BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('price', OLD.id, json_object('id', OLD.id, 'name', OLD.name, 'name_key', OLD.name_key, 'book_id', OLD.book_id, 'since', OLD.since,
            'offer', OLD.offer, 'package', OLD.package, 'packs', OLD.packs, 'each_amount', OLD.each_amount,
            'sold_by', OLD.sold_by, 'price', OLD.price, 'currency', OLD.currency, 'tax_pct', OLD.tax_pct,
            'tax_included', OLD.tax_included, 'deposit', OLD.deposit, 'yield_text', OLD.yield_text,
            'yield_amount', OLD.yield_amount, 'yield_low', OLD.yield_low, 'yield_high', OLD.yield_high,
            'yield_unit', OLD.yield_unit, 'yield_per', OLD.yield_per, 'waste_pct', OLD.waste_pct,
            'waste_low_pct', OLD.waste_low_pct, 'waste_high_pct', OLD.waste_high_pct, 'loss_pct', OLD.loss_pct,
            'loss_low_pct', OLD.loss_low_pct, 'loss_high_pct', OLD.loss_high_pct, 'portion', OLD.portion,
            'portion_amount', OLD.portion_amount, 'portion_unit', OLD.portion_unit, 'source', OLD.source),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('price', NEW.id, NULL,
            json_object('id', NEW.id, 'name', NEW.name, 'name_key', NEW.name_key, 'book_id', NEW.book_id, 'since', NEW.since,
            'offer', NEW.offer, 'package', NEW.package, 'packs', NEW.packs, 'each_amount', NEW.each_amount,
            'sold_by', NEW.sold_by, 'price', NEW.price, 'currency', NEW.currency, 'tax_pct', NEW.tax_pct,
            'tax_included', NEW.tax_included, 'deposit', NEW.deposit, 'yield_text', NEW.yield_text,
            'yield_amount', NEW.yield_amount, 'yield_low', NEW.yield_low, 'yield_high', NEW.yield_high,
            'yield_unit', NEW.yield_unit, 'yield_per', NEW.yield_per, 'waste_pct', NEW.waste_pct,
            'waste_low_pct', NEW.waste_low_pct, 'waste_high_pct', NEW.waste_high_pct, 'loss_pct', NEW.loss_pct,
            'loss_low_pct', NEW.loss_low_pct, 'loss_high_pct', NEW.loss_high_pct, 'portion', NEW.portion,
            'portion_amount', NEW.portion_amount, 'portion_unit', NEW.portion_unit, 'source', NEW.source));
END;

CREATE TRIGGER journal_price_delete AFTER DELETE ON price BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('price', OLD.id, json_object('id', OLD.id, 'name', OLD.name, 'name_key', OLD.name_key, 'book_id', OLD.book_id, 'since', OLD.since,
            'offer', OLD.offer, 'package', OLD.package, 'packs', OLD.packs, 'each_amount', OLD.each_amount,
            'sold_by', OLD.sold_by, 'price', OLD.price, 'currency', OLD.currency, 'tax_pct', OLD.tax_pct,
            'tax_included', OLD.tax_included, 'deposit', OLD.deposit, 'yield_text', OLD.yield_text,
            'yield_amount', OLD.yield_amount, 'yield_low', OLD.yield_low, 'yield_high', OLD.yield_high,
            'yield_unit', OLD.yield_unit, 'yield_per', OLD.yield_per, 'waste_pct', OLD.waste_pct,
            'waste_low_pct', OLD.waste_low_pct, 'waste_high_pct', OLD.waste_high_pct, 'loss_pct', OLD.loss_pct,
            'loss_low_pct', OLD.loss_low_pct, 'loss_high_pct', OLD.loss_high_pct, 'portion', OLD.portion,
            'portion_amount', OLD.portion_amount, 'portion_unit', OLD.portion_unit, 'source', OLD.source),
            NULL);
END;

CREATE TRIGGER journal_weighing_insert AFTER INSERT ON weighing BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('weighing', NEW.id, NULL,
            json_object('id', NEW.id, 'drink_id', NEW.drink_id, 'version', NEW.version, 'before_g', NEW.before_g,
            'after_g', NEW.after_g,
            'temperature_c', iif(NEW.temperature_c IS NULL, NULL, format('%!.17g', NEW.temperature_c)),
            'seconds', iif(NEW.seconds IS NULL, NULL, format('%!.17g', NEW.seconds)),
            'ice_g', iif(NEW.ice_g IS NULL, NULL, format('%!.17g', NEW.ice_g)), 'weighed_at', NEW.weighed_at,
            'note', NEW.note));
END;

CREATE TRIGGER journal_weighing_update AFTER UPDATE ON weighing
    WHEN OLD.id IS NEW.id
     AND (OLD.drink_id, OLD.version, OLD.before_g, OLD.after_g, OLD.temperature_c, OLD.seconds, OLD.ice_g, OLD.weighed_at, OLD.note) IS NOT
         (NEW.drink_id, NEW.version, NEW.before_g, NEW.after_g, NEW.temperature_c, NEW.seconds, NEW.ice_g, NEW.weighed_at, NEW.note) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('weighing', NEW.id, json_object('id', OLD.id, 'drink_id', OLD.drink_id, 'version', OLD.version, 'before_g', OLD.before_g,
            'after_g', OLD.after_g,
            'temperature_c', iif(OLD.temperature_c IS NULL, NULL, format('%!.17g', OLD.temperature_c)),
            'seconds', iif(OLD.seconds IS NULL, NULL, format('%!.17g', OLD.seconds)),
            'ice_g', iif(OLD.ice_g IS NULL, NULL, format('%!.17g', OLD.ice_g)), 'weighed_at', OLD.weighed_at,
            'note', OLD.note),
            json_object('id', NEW.id, 'drink_id', NEW.drink_id, 'version', NEW.version, 'before_g', NEW.before_g,
            'after_g', NEW.after_g,
            'temperature_c', iif(NEW.temperature_c IS NULL, NULL, format('%!.17g', NEW.temperature_c)),
            'seconds', iif(NEW.seconds IS NULL, NULL, format('%!.17g', NEW.seconds)),
            'ice_g', iif(NEW.ice_g IS NULL, NULL, format('%!.17g', NEW.ice_g)), 'weighed_at', NEW.weighed_at,
            'note', NEW.note));
END;

CREATE TRIGGER journal_weighing_rekeyed AFTER UPDATE ON weighing
    WHEN OLD.id IS NOT NEW.id BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('weighing', OLD.id, json_object('id', OLD.id, 'drink_id', OLD.drink_id, 'version', OLD.version, 'before_g', OLD.before_g,
            'after_g', OLD.after_g,
            'temperature_c', iif(OLD.temperature_c IS NULL, NULL, format('%!.17g', OLD.temperature_c)),
            'seconds', iif(OLD.seconds IS NULL, NULL, format('%!.17g', OLD.seconds)),
            'ice_g', iif(OLD.ice_g IS NULL, NULL, format('%!.17g', OLD.ice_g)), 'weighed_at', OLD.weighed_at,
            'note', OLD.note),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('weighing', NEW.id, NULL,
            json_object('id', NEW.id, 'drink_id', NEW.drink_id, 'version', NEW.version, 'before_g', NEW.before_g,
            'after_g', NEW.after_g,
            'temperature_c', iif(NEW.temperature_c IS NULL, NULL, format('%!.17g', NEW.temperature_c)),
            'seconds', iif(NEW.seconds IS NULL, NULL, format('%!.17g', NEW.seconds)),
            'ice_g', iif(NEW.ice_g IS NULL, NULL, format('%!.17g', NEW.ice_g)), 'weighed_at', NEW.weighed_at,
            'note', NEW.note));
END;

CREATE TRIGGER journal_weighing_delete AFTER DELETE ON weighing BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('weighing', OLD.id, json_object('id', OLD.id, 'drink_id', OLD.drink_id, 'version', OLD.version, 'before_g', OLD.before_g,
            'after_g', OLD.after_g,
            'temperature_c', iif(OLD.temperature_c IS NULL, NULL, format('%!.17g', OLD.temperature_c)),
            'seconds', iif(OLD.seconds IS NULL, NULL, format('%!.17g', OLD.seconds)),
            'ice_g', iif(OLD.ice_g IS NULL, NULL, format('%!.17g', OLD.ice_g)), 'weighed_at', OLD.weighed_at,
            'note', OLD.note),
            NULL);
END;

CREATE TRIGGER journal_house_melt_insert AFTER INSERT ON house_melt BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('house_melt', NEW.id, NULL,
            json_object('id', NEW.id, 'technique', NEW.technique, 'version', NEW.version, 'fit_json', NEW.fit_json,
            'kept_at', NEW.kept_at, 'undone_at', NEW.undone_at));
END;

CREATE TRIGGER journal_house_melt_update AFTER UPDATE ON house_melt
    WHEN OLD.id IS NEW.id
     AND (OLD.technique, OLD.version, OLD.fit_json, OLD.kept_at, OLD.undone_at) IS NOT
         (NEW.technique, NEW.version, NEW.fit_json, NEW.kept_at, NEW.undone_at) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('house_melt', NEW.id, json_object('id', OLD.id, 'technique', OLD.technique, 'version', OLD.version, 'fit_json', OLD.fit_json,
            'kept_at', OLD.kept_at, 'undone_at', OLD.undone_at),
            json_object('id', NEW.id, 'technique', NEW.technique, 'version', NEW.version, 'fit_json', NEW.fit_json,
            'kept_at', NEW.kept_at, 'undone_at', NEW.undone_at));
END;

CREATE TRIGGER journal_house_melt_rekeyed AFTER UPDATE ON house_melt
    WHEN OLD.id IS NOT NEW.id BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('house_melt', OLD.id, json_object('id', OLD.id, 'technique', OLD.technique, 'version', OLD.version, 'fit_json', OLD.fit_json,
            'kept_at', OLD.kept_at, 'undone_at', OLD.undone_at),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('house_melt', NEW.id, NULL,
            json_object('id', NEW.id, 'technique', NEW.technique, 'version', NEW.version, 'fit_json', NEW.fit_json,
            'kept_at', NEW.kept_at, 'undone_at', NEW.undone_at));
END;

CREATE TRIGGER journal_house_melt_delete AFTER DELETE ON house_melt BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('house_melt', OLD.id, json_object('id', OLD.id, 'technique', OLD.technique, 'version', OLD.version, 'fit_json', OLD.fit_json,
            'kept_at', OLD.kept_at, 'undone_at', OLD.undone_at),
            NULL);
END;

CREATE TRIGGER journal_tasting_insert AFTER INSERT ON tasting BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('tasting', NEW.id, NULL,
            json_object('id', NEW.id, 'spec_version_id', NEW.spec_version_id, 'verdict', NEW.verdict, 'note', NEW.note,
            'taster', NEW.taster, 'tasted_at', NEW.tasted_at));
END;

CREATE TRIGGER journal_tasting_update AFTER UPDATE ON tasting
    WHEN OLD.id IS NEW.id
     AND (OLD.spec_version_id, OLD.verdict, OLD.note, OLD.taster, OLD.tasted_at) IS NOT
         (NEW.spec_version_id, NEW.verdict, NEW.note, NEW.taster, NEW.tasted_at) BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('tasting', NEW.id, json_object('id', OLD.id, 'spec_version_id', OLD.spec_version_id, 'verdict', OLD.verdict, 'note', OLD.note,
            'taster', OLD.taster, 'tasted_at', OLD.tasted_at),
            json_object('id', NEW.id, 'spec_version_id', NEW.spec_version_id, 'verdict', NEW.verdict, 'note', NEW.note,
            'taster', NEW.taster, 'tasted_at', NEW.tasted_at));
END;

CREATE TRIGGER journal_tasting_rekeyed AFTER UPDATE ON tasting
    WHEN OLD.id IS NOT NEW.id BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('tasting', OLD.id, json_object('id', OLD.id, 'spec_version_id', OLD.spec_version_id, 'verdict', OLD.verdict, 'note', OLD.note,
            'taster', OLD.taster, 'tasted_at', OLD.tasted_at),
            NULL);
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('tasting', NEW.id, NULL,
            json_object('id', NEW.id, 'spec_version_id', NEW.spec_version_id, 'verdict', NEW.verdict, 'note', NEW.note,
            'taster', NEW.taster, 'tasted_at', NEW.tasted_at));
END;

CREATE TRIGGER journal_tasting_delete AFTER DELETE ON tasting BEGIN
    INSERT INTO journal_note (table_name, row_key, was, became)
        VALUES ('tasting', OLD.id, json_object('id', OLD.id, 'spec_version_id', OLD.spec_version_id, 'verdict', OLD.verdict, 'note', OLD.note,
            'taster', OLD.taster, 'tasted_at', OLD.tasted_at),
            NULL);
END;
