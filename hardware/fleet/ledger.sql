-- The ledger of many booths, in a database of its own. Run as the database's owner; running it again changes nothing:
--     psql -d DATABASE -v ON_ERROR_STOP=1 -f ledger.sql
-- Each booth has a role of its own, whose name is the booth's (booth.name in its settings), in the role booths;
-- whoever reads has one in the role office. A booth can add facts of its own and nothing else.

BEGIN;

-- Temporary tables are looked for last, in count_facts() too, which has the owner's rights: a booth's own temporary table
-- named tally could have a trigger, which would have them as well (PostgreSQL 15, CREATE FUNCTION).
DO $$ BEGIN PERFORM set_config('search_path', quote_ident(current_schema()) || ', pg_temp', true); END $$;

DO $$ BEGIN CREATE ROLE booths NOLOGIN; EXCEPTION WHEN duplicate_object THEN NULL; END $$;
DO $$ BEGIN CREATE ROLE office NOLOGIN; EXCEPTION WHEN duplicate_object THEN NULL; END $$;

-- What happened: only added to. A generation is one opening of a booth's own ledger.
CREATE TABLE IF NOT EXISTS fact (
    booth text NOT NULL, generation uuid NOT NULL, number bigint NOT NULL,
    at timestamptz NOT NULL, day date NOT NULL, kind text NOT NULL,
    session bigint, language text, document text, shot integer, verdict text, words jsonb,
    sheet text, medium text, photos integer, sheets integer, reprint_of text, not_certain text, ended text,
    reason text, act text, fault text, ending text, duration_s double precision,
    PRIMARY KEY (booth, generation, number));
-- What came later, so that a table that is there already gets it; new columns go to the end.
ALTER TABLE fact
    ADD COLUMN IF NOT EXISTS amount bigint,
    ADD COLUMN IF NOT EXISTS price bigint,
    ADD COLUMN IF NOT EXISTS currency text;

-- How each booth stood when it was last heard of.
CREATE TABLE IF NOT EXISTS booth (
    name text PRIMARY KEY, region text NOT NULL, heard_at timestamptz NOT NULL,
    sheets_left integer, few_sheets integer NOT NULL, supplies jsonb NOT NULL);

-- The facts counted by booth and day, from which reports are made.
CREATE TABLE IF NOT EXISTS tally (
    booth text NOT NULL, day date NOT NULL, subject text NOT NULL, name text NOT NULL, amount double precision NOT NULL,
    PRIMARY KEY (booth, day, subject, name));
CREATE INDEX IF NOT EXISTS tally_day ON tally (day);

-- Counts the facts that a statement has added, in its transaction; those that were there already are not among them.
CREATE OR REPLACE FUNCTION count_facts() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path FROM CURRENT
AS $$ BEGIN
    INSERT INTO tally AS counted
    SELECT added.booth, added.day, said.subject, said.name, sum(said.amount)
    FROM added CROSS JOIN LATERAL (
        VALUES
            ('fact', kind, 1.0::double precision),
            ('ending', ending, 1),
            ('document', CASE kind WHEN 'session_ended' THEN coalesce(document, '') END, 1),
            ('printed in tenths of a minute', CASE ending WHEN 'printed' THEN floor(duration_s / 6)::text END, 1),
            ('minutes until printed', CASE ending WHEN 'printed' THEN '' END, duration_s / 60),
            ('shot', verdict, 1),
            ('sheets ' || ended, CASE WHEN ended IS NOT NULL THEN medium END, sheets),
            ('photos', CASE ended WHEN 'printed' THEN medium END, sheets * photos),
            ('sheets of document', CASE WHEN ended = 'printed' AND price IS NULL THEN document END, sheets),
            ('money ' || kind, currency, amount),
            ('money spent', CASE ended WHEN 'printed' THEN currency END, price),
            ('sheets again', CASE WHEN ended = 'printed' AND reprint_of IS NOT NULL THEN medium END, sheets),
            ('sheets not certain', CASE WHEN ended = 'printed' AND not_certain IS NOT NULL THEN medium END, sheets),
            ('override', reason, 1),
            ('act', act, 1),
            ('fault', CASE kind WHEN 'fault_began' THEN fault END, 1),
            ('fault minutes', CASE kind WHEN 'fault_mended' THEN fault END, duration_s / 60)
        UNION ALL
        SELECT 'requirement ' || word.value, word.key, 1 FROM jsonb_each_text(words) AS word
    ) AS said (subject, name, amount)
    WHERE said.name IS NOT NULL AND said.amount IS NOT NULL
    GROUP BY 1, 2, 3, 4 ORDER BY 1, 2, 3, 4
    ON CONFLICT (booth, day, subject, name) DO UPDATE SET amount = counted.amount + EXCLUDED.amount;
    RETURN NULL;
END $$;
CREATE OR REPLACE TRIGGER count_facts AFTER INSERT ON fact
    REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION count_facts();

REVOKE ALL ON fact, booth, tally FROM PUBLIC;
GRANT INSERT ON fact TO booths;
GRANT SELECT, INSERT, UPDATE ON booth TO booths;
GRANT SELECT ON fact, booth, tally TO office;

ALTER TABLE fact ENABLE ROW LEVEL SECURITY;
ALTER TABLE booth ENABLE ROW LEVEL SECURITY;
DROP POLICY IF EXISTS own ON fact;
CREATE POLICY own ON fact FOR INSERT TO booths WITH CHECK (booth = current_user::text);
DROP POLICY IF EXISTS own ON booth;
CREATE POLICY own ON booth TO booths USING (name = current_user::text) WITH CHECK (name = current_user::text);
DROP POLICY IF EXISTS everything ON fact;
CREATE POLICY everything ON fact FOR SELECT TO office USING (true);
DROP POLICY IF EXISTS everything ON booth;
CREATE POLICY everything ON booth FOR SELECT TO office USING (true);

COMMIT;
