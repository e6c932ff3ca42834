-- Why: a result that another program takes away was missed by nobody: its drink was gone from every list, and nothing
-- said so. It is marked as not worked out, and what hung on it goes with it, also where that program has SQLite leave
-- foreign keys alone. And a list tells of preparations what is kept of them, which wants what decides how long they
-- keep and what there is to look at.

ALTER TABLE preparation_result ADD COLUMN keeps_as TEXT;  -- the part that decides how long it keeps; NULL where the writer says
ALTER TABLE preparation_result ADD COLUMN detail TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(detail));  -- the warnings, as JSON

DELETE FROM preparation_part;
DELETE FROM preparation_result;
INSERT OR IGNORE INTO stale (scope, what) VALUES ('all', '');

CREATE TRIGGER stale_result_delete AFTER DELETE ON result BEGIN
    DELETE FROM figure WHERE result_id = OLD.id;
    DELETE FROM verdict WHERE result_id = OLD.id;
    DELETE FROM finding WHERE result_id = OLD.id;
    DELETE FROM assumption WHERE result_id = OLD.id;
    DELETE FROM pour WHERE result_id = OLD.id;
    DELETE FROM budget WHERE result_id = OLD.id;
    INSERT INTO stale (scope, what)
        SELECT 'drink', CAST(s.drink_id AS TEXT) FROM spec_version s WHERE s.id = OLD.spec_version_id
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(s.drink_id AS TEXT));
END;

CREATE TRIGGER stale_preparation_result_delete AFTER DELETE ON preparation_result BEGIN
    DELETE FROM preparation_part WHERE preparation_id = OLD.preparation_id;
    INSERT INTO stale (scope, what)
        SELECT 'book', CAST(p.book_id AS TEXT) FROM preparation p WHERE p.id = OLD.preparation_id
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = CAST(p.book_id AS TEXT));
END;
