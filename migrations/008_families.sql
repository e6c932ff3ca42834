-- Why: a drink is judged beside the published drinks of its family, which is not how it is made. Its family and its place
-- among them (percentiles, score and limits, nearest relatives by name) are kept with its result, as JSON.

ALTER TABLE result ADD COLUMN family TEXT;
ALTER TABLE result ADD COLUMN placed TEXT CHECK (placed IS NULL OR json_valid(placed));
