SET statement_timeout = 0;
SET lock_timeout = 0;
SET idle_in_transaction_session_timeout = 0;
SET client_encoding = 'UTF8';
SET standard_conforming_strings = on;
SELECT pg_catalog.set_config('search_path', '', false);
SET check_function_bodies = false;
SET xmloption = content;
SET client_min_messages = warning;
SET row_security = off;
CREATE FUNCTION public.refuse_change() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END $$;
CREATE FUNCTION public.refuse_delete_of_addendum() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = (SELECT signed_note.visit_id FROM signed_note WHERE signed_note.id = OLD.note_id)) AND purge.kept_until IS NOT NULL) THEN RAISE EXCEPTION 'rows of addendum are never changed' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_chart_area() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_confirmed_outcome() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM episode WHERE episode.id = OLD.episode_id)) THEN RAISE EXCEPTION 'rows of confirmed_outcome are never changed' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_consent() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = OLD.person_id) THEN RAISE EXCEPTION 'rows of consent are never changed' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_document_addendum() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = (SELECT signed_document.visit_id FROM signed_document WHERE signed_document.id = OLD.document_id)) AND purge.kept_until IS NOT NULL) THEN RAISE EXCEPTION 'rows of document_addendum are never changed' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_entry() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_episode() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = OLD.person_id) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = OLD.person_id) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_outcome_answer() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_person() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = OLD.id) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = OLD.id) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_preference() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_screen_answer() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_signed_document() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id) AND purge.kept_until IS NOT NULL) THEN RAISE EXCEPTION 'rows of signed_document are never changed' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_signed_note() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id) AND purge.kept_until IS NOT NULL) THEN RAISE EXCEPTION 'rows of signed_note are never changed' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_story() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = OLD.person_id) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = OLD.person_id) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_turn() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_verdict_override() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_visit() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM episode WHERE episode.id = OLD.episode_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM episode WHERE episode.id = OLD.episode_id)) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_delete_of_wish() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_insert_when_signed() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN NEW; END $$;
CREATE FUNCTION public.refuse_other_audit_head() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NEW.id <> OLD.id OR NEW.place <> OLD.place + 1 OR NOT EXISTS (SELECT 1 FROM audit WHERE place = NEW.place AND hash = NEW.hash) THEN RAISE EXCEPTION 'the end of the audit only goes on to the next row' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN NEW; END $$;
CREATE FUNCTION public.refuse_purge_of_documents() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF EXISTS (SELECT 1 FROM signed_document JOIN visit ON visit.id = signed_document.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = NEW.person_id) AND (NEW.rule IS NULL OR NEW.kept_until IS NULL OR NEW.kept_until > NEW.at) THEN RAISE EXCEPTION 'rows of purge are never changed' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN NEW; END $$;
CREATE FUNCTION public.refuse_purge_when_signed() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = NEW.person_id) AND (NEW.rule IS NULL OR NEW.kept_until IS NULL OR NEW.kept_until > NEW.at) THEN RAISE EXCEPTION 'rows of purge are never changed' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN NEW; END $$;
CREATE FUNCTION public.refuse_unchained_audit() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF NOT EXISTS (SELECT 1 FROM audit_head WHERE place = NEW.place - 1 AND hash = NEW.previous) THEN RAISE EXCEPTION 'rows of audit are never changed, and each follows the one before it' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN NEW; END $$;
SET default_tablespace = '';
SET default_table_access_method = heap;
CREATE TABLE public.addendum (
    id character varying(36) NOT NULL,
    note_id character varying(36) NOT NULL,
    by character varying(200) NOT NULL,
    at timestamp with time zone NOT NULL,
    text text NOT NULL
);
CREATE TABLE public.alembic_version (
    version_num character varying(32) NOT NULL
);
CREATE TABLE public.assignment (
    person_id character varying(36) NOT NULL,
    staff_id character varying(36) NOT NULL,
    at timestamp with time zone NOT NULL,
    by character varying(200) NOT NULL
);
CREATE TABLE public.audit (
    number integer NOT NULL,
    at timestamp with time zone NOT NULL,
    who character varying(200) NOT NULL,
    act character varying(40) NOT NULL,
    person_id character varying(36),
    visit_id character varying(36),
    detail text NOT NULL,
    place integer NOT NULL,
    why text NOT NULL,
    previous character varying(64) NOT NULL,
    hash character varying(64) NOT NULL
);
CREATE TABLE public.audit_head (
    id integer NOT NULL,
    place integer NOT NULL,
    hash character varying(64) NOT NULL,
    at timestamp with time zone,
    CONSTRAINT ck_audit_head_id CHECK ((id = 1))
);
CREATE SEQUENCE public.audit_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.audit_number_seq OWNED BY public.audit.number;
CREATE TABLE public.break_glass (
    number integer NOT NULL,
    person_id character varying(36) NOT NULL,
    staff_id character varying(36) NOT NULL,
    reason text NOT NULL,
    at timestamp with time zone NOT NULL,
    until timestamp with time zone NOT NULL,
    noted_by character varying(200),
    noted_at timestamp with time zone
);
CREATE SEQUENCE public.break_glass_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.break_glass_number_seq OWNED BY public.break_glass.number;
CREATE TABLE public.chart_area (
    number integer NOT NULL,
    id character varying(36) NOT NULL,
    visit_id character varying(36) NOT NULL,
    at timestamp with time zone NOT NULL,
    takes_back character varying(36),
    view character varying(8),
    path json NOT NULL,
    quality character varying(12),
    depth character varying(8),
    intensity integer,
    CONSTRAINT ck_chart_area_depth CHECK (((depth IS NULL) OR ((depth)::text = ANY (ARRAY[('surface'::character varying)::text, ('deep'::character varying)::text])))),
    CONSTRAINT ck_chart_area_intensity CHECK (((intensity IS NULL) OR ((intensity >= 0) AND (intensity <= 10)))),
    CONSTRAINT ck_chart_area_quality CHECK (((quality IS NULL) OR ((quality)::text = ANY (ARRAY[('aching'::character varying)::text, ('sharp'::character varying)::text, ('burning'::character varying)::text, ('throbbing'::character varying)::text, ('tingling'::character varying)::text, ('numb'::character varying)::text, ('tight'::character varying)::text])))),
    CONSTRAINT ck_chart_area_shape CHECK (((takes_back IS NULL) = (view IS NOT NULL))),
    CONSTRAINT ck_chart_area_view CHECK (((view IS NULL) OR ((view)::text = ANY (ARRAY[('front'::character varying)::text, ('back'::character varying)::text, ('right'::character varying)::text, ('left'::character varying)::text]))))
);
CREATE SEQUENCE public.chart_area_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.chart_area_number_seq OWNED BY public.chart_area.number;
CREATE TABLE public.class_case (
    number integer NOT NULL,
    class_id character varying(36) NOT NULL,
    code character varying(12) NOT NULL,
    minutes double precision NOT NULL,
    at timestamp with time zone NOT NULL
);
CREATE SEQUENCE public.class_case_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.class_case_number_seq OWNED BY public.class_case.number;
CREATE TABLE public.class_member (
    id character varying(36) NOT NULL,
    class_id character varying(36) NOT NULL,
    name character varying(60) NOT NULL,
    joined_at timestamp with time zone NOT NULL
);
CREATE TABLE public.confirmed_outcome (
    number integer NOT NULL,
    id character varying(36) NOT NULL,
    episode_id character varying(36) NOT NULL,
    at timestamp with time zone NOT NULL,
    takes_back character varying(36),
    contributor character varying(60),
    side character varying(5),
    confirmed boolean,
    reference character varying(12),
    known_on date,
    words text NOT NULL,
    by character varying(200) NOT NULL,
    CONSTRAINT ck_confirmed_outcome_reference CHECK (((reference IS NULL) OR ((reference)::text = ANY ((ARRAY['imaging'::character varying, 'block'::character varying, 'surgery'::character varying, 'response'::character varying])::text[])))),
    CONSTRAINT ck_confirmed_outcome_shape CHECK ((((takes_back IS NULL) = (contributor IS NOT NULL)) AND ((takes_back IS NULL) = (confirmed IS NOT NULL)) AND ((takes_back IS NULL) = (reference IS NOT NULL)) AND ((takes_back IS NULL) = (known_on IS NOT NULL)))),
    CONSTRAINT ck_confirmed_outcome_side CHECK (((side IS NULL) OR ((side)::text = ANY ((ARRAY['right'::character varying, 'left'::character varying])::text[]))))
);
CREATE SEQUENCE public.confirmed_outcome_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.confirmed_outcome_number_seq OWNED BY public.confirmed_outcome.number;
CREATE TABLE public.consent (
    number integer NOT NULL,
    person_id character varying(36) NOT NULL,
    purpose character varying(16) NOT NULL,
    given boolean NOT NULL,
    words text NOT NULL,
    by character varying(200) NOT NULL,
    at timestamp with time zone NOT NULL,
    CONSTRAINT ck_consent_purpose CHECK (((purpose IS NULL) OR ((purpose)::text = ANY (ARRAY[('care'::character varying)::text, ('teaching'::character varying)::text, ('shared_counts'::character varying)::text]))))
);
CREATE SEQUENCE public.consent_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.consent_number_seq OWNED BY public.consent.number;
CREATE TABLE public.document_addendum (
    id character varying(36) NOT NULL,
    document_id character varying(36) NOT NULL,
    by character varying(200) NOT NULL,
    at timestamp with time zone NOT NULL,
    text text NOT NULL
);
CREATE TABLE public.entry (
    id character varying(36) NOT NULL,
    visit_id character varying(36) NOT NULL,
    sequence integer NOT NULL,
    kind character varying(12) NOT NULL,
    recorded_at timestamp with time zone NOT NULL,
    supersedes character varying(36),
    retracts character varying(36),
    procedure character varying(60),
    side character varying(5),
    level character varying(4),
    mobility integer,
    end_feel character varying(20),
    value double precision,
    unit character varying(8),
    other double precision,
    pain double precision,
    pain_onset double precision,
    resistance_onset double precision,
    familiar boolean,
    result character varying(12),
    apprehension boolean,
    strength integer,
    note text,
    technique text,
    dose text,
    CONSTRAINT ck_entry_end_feel CHECK (((end_feel IS NULL) OR ((end_feel)::text = ANY (ARRAY[('soft_apposition'::character varying)::text, ('firm_capsular'::character varying)::text, ('firm_muscular'::character varying)::text, ('firm_ligament'::character varying)::text, ('hard_bone'::character varying)::text, ('spasm'::character varying)::text, ('empty'::character varying)::text, ('springy_block'::character varying)::text, ('loose'::character varying)::text, ('boggy'::character varying)::text, ('early_capsular'::character varying)::text])))),
    CONSTRAINT ck_entry_kind CHECK (((kind)::text = ANY (ARRAY[('finding'::character varying)::text, ('retest'::character varying)::text, ('treatment'::character varying)::text, ('retraction'::character varying)::text]))),
    CONSTRAINT ck_entry_mobility CHECK (((mobility IS NULL) OR ((mobility >= 0) AND (mobility <= 6)))),
    CONSTRAINT ck_entry_pain CHECK (((pain IS NULL) OR ((pain >= (0)::double precision) AND (pain <= (10)::double precision)))),
    CONSTRAINT ck_entry_result CHECK (((result IS NULL) OR ((result)::text = ANY (ARRAY[('positive'::character varying)::text, ('negative'::character varying)::text, ('unclear'::character varying)::text, ('normal'::character varying)::text, ('reduced'::character varying)::text, ('absent'::character varying)::text, ('increased'::character varying)::text, ('not_done'::character varying)::text])))),
    CONSTRAINT ck_entry_shape CHECK (((((kind)::text = 'retraction'::text) = (retracts IS NOT NULL)) AND (((kind)::text = 'treatment'::text) = (technique IS NOT NULL)) AND (((kind)::text = ANY (ARRAY[('finding'::character varying)::text, ('retest'::character varying)::text])) = (procedure IS NOT NULL)))),
    CONSTRAINT ck_entry_side CHECK (((side IS NULL) OR ((side)::text = ANY (ARRAY[('right'::character varying)::text, ('left'::character varying)::text])))),
    CONSTRAINT ck_entry_strength CHECK (((strength IS NULL) OR ((strength >= 0) AND (strength <= 5)))),
    CONSTRAINT ck_entry_unit CHECK (((unit IS NULL) OR ((unit)::text = ANY (ARRAY[('deg'::character varying)::text, ('N'::character varying)::text, ('mm'::character varying)::text, ('cm'::character varying)::text, ('s'::character varying)::text, ('grade'::character varying)::text, ('mmHg'::character varying)::text, ('/min'::character varying)::text, ('%'::character varying)::text, ('kg'::character varying)::text, ('level'::character varying)::text]))))
);
CREATE TABLE public.episode (
    id character varying(36) NOT NULL,
    person_id character varying(36) NOT NULL,
    title character varying(300) NOT NULL,
    side character varying(5),
    onset character varying(10),
    weeks double precision,
    irritability character varying(10),
    areas json NOT NULL,
    story text NOT NULL,
    opened_at timestamp with time zone NOT NULL,
    CONSTRAINT ck_episode_irritability CHECK (((irritability IS NULL) OR ((irritability)::text = ANY (ARRAY[('low'::character varying)::text, ('moderate'::character varying)::text, ('high'::character varying)::text])))),
    CONSTRAINT ck_episode_onset CHECK (((onset IS NULL) OR ((onset)::text = ANY (ARRAY[('trauma'::character varying)::text, ('sudden'::character varying)::text, ('gradual'::character varying)::text, ('overuse'::character varying)::text, ('unknown'::character varying)::text])))),
    CONSTRAINT ck_episode_side CHECK (((side IS NULL) OR ((side)::text = ANY (ARRAY[('right'::character varying)::text, ('left'::character varying)::text]))))
);
CREATE TABLE public.learning_class (
    id character varying(36) NOT NULL,
    name character varying(200) NOT NULL,
    teacher character varying(200) NOT NULL,
    join_code character varying(12) NOT NULL,
    opened_at timestamp with time zone NOT NULL
);
CREATE TABLE public.outcome_answer (
    number integer NOT NULL,
    id character varying(36) NOT NULL,
    visit_id character varying(36) NOT NULL,
    at timestamp with time zone NOT NULL,
    takes_back character varying(36),
    measure character varying(40),
    answered_on date,
    answers json NOT NULL,
    total double precision,
    occasion character varying(12),
    activities json NOT NULL,
    answering character varying(12),
    instrument character varying(60) NOT NULL,
    note text NOT NULL,
    CONSTRAINT ck_outcome_answer_answering CHECK (((answering IS NULL) OR ((answering)::text = ANY (ARRAY[('person'::character varying)::text, ('read_aloud'::character varying)::text, ('proxy'::character varying)::text, ('clinician'::character varying)::text])))),
    CONSTRAINT ck_outcome_answer_occasion CHECK (((occasion IS NULL) OR ((occasion)::text = ANY (ARRAY[('rest'::character varying)::text, ('movement'::character varying)::text, ('night'::character varying)::text, ('worst'::character varying)::text, ('usual'::character varying)::text, ('since_start'::character varying)::text, ('since_last'::character varying)::text])))),
    CONSTRAINT ck_outcome_answer_shape CHECK ((((takes_back IS NULL) = (measure IS NOT NULL)) AND ((takes_back IS NULL) = (answered_on IS NOT NULL)) AND ((takes_back IS NULL) = (answering IS NOT NULL)) AND ((takes_back IS NULL) OR (total IS NULL))))
);
CREATE SEQUENCE public.outcome_answer_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.outcome_answer_number_seq OWNED BY public.outcome_answer.number;
CREATE TABLE public.passkey (
    id text NOT NULL,
    staff_id character varying(36) NOT NULL,
    public_key text NOT NULL,
    uses integer NOT NULL,
    name character varying(80) NOT NULL,
    added_at timestamp with time zone NOT NULL
);
CREATE TABLE public.person (
    id character varying(36) NOT NULL,
    label character varying(200) NOT NULL,
    age integer,
    sex character varying(10),
    dominant character varying(5),
    invented boolean NOT NULL,
    created_at timestamp with time zone NOT NULL,
    CONSTRAINT ck_person_dominant CHECK (((dominant IS NULL) OR ((dominant)::text = ANY (ARRAY[('right'::character varying)::text, ('left'::character varying)::text])))),
    CONSTRAINT ck_person_sex CHECK (((sex IS NULL) OR ((sex)::text = ANY (ARRAY[('female'::character varying)::text, ('male'::character varying)::text, ('other'::character varying)::text]))))
);
CREATE TABLE public.preference (
    number integer NOT NULL,
    visit_id character varying(36) NOT NULL,
    kind character varying(12) NOT NULL,
    word character varying(60) NOT NULL,
    holds boolean NOT NULL,
    at timestamp with time zone NOT NULL,
    CONSTRAINT ck_preference_kind CHECK (((kind IS NULL) OR ((kind)::text = ANY (ARRAY[('refuse'::character varying)::text, ('instrument'::character varying)::text, ('rater'::character varying)::text]))))
);
CREATE SEQUENCE public.preference_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.preference_number_seq OWNED BY public.preference.number;
CREATE TABLE public.presented (
    id character varying(36) NOT NULL,
    visit_id character varying(36) NOT NULL,
    kind character varying(12) NOT NULL,
    words json NOT NULL,
    staff_id character varying(36) NOT NULL,
    at timestamp with time zone NOT NULL,
    outcome character varying(10),
    remark text NOT NULL,
    settled_by character varying(200),
    settled_at timestamp with time zone,
    CONSTRAINT ck_presented_outcome CHECK (((outcome IS NULL) OR ((outcome)::text = ANY (ARRAY[('signed'::character varying)::text, ('returned'::character varying)::text]))))
);
CREATE TABLE public.purge (
    person_id character varying(36) NOT NULL,
    at timestamp with time zone NOT NULL,
    rule character varying(80),
    kept_until timestamp with time zone
);
CREATE TABLE public.recovery_code (
    number integer NOT NULL,
    staff_id character varying(36) NOT NULL,
    hash character varying(64) NOT NULL,
    used_at timestamp with time zone
);
CREATE SEQUENCE public.recovery_code_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.recovery_code_number_seq OWNED BY public.recovery_code.number;
CREATE TABLE public.screen_answer (
    number integer NOT NULL,
    visit_id character varying(36) NOT NULL,
    cue character varying(60) NOT NULL,
    answer boolean,
    answered_at timestamp with time zone NOT NULL
);
CREATE SEQUENCE public.screen_answer_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.screen_answer_number_seq OWNED BY public.screen_answer.number;
CREATE TABLE public.sign_in (
    id character varying(64) NOT NULL,
    staff_id character varying(36),
    second boolean NOT NULL,
    challenge character varying(200),
    browser character varying(200) NOT NULL,
    began_at timestamp with time zone NOT NULL,
    seen_at timestamp with time zone NOT NULL
);
CREATE TABLE public.signed_document (
    id character varying(36) NOT NULL,
    visit_id character varying(36) NOT NULL,
    kind character varying(12) NOT NULL,
    recipient character varying(200) NOT NULL,
    signed_by character varying(200) NOT NULL,
    signed_at timestamp with time zone NOT NULL,
    document json NOT NULL,
    release character varying(64) NOT NULL,
    program_version character varying(40) NOT NULL,
    CONSTRAINT ck_signed_document_kind CHECK (((kind IS NULL) OR ((kind)::text = ANY (ARRAY[('referral'::character varying)::text, ('discharge'::character varying)::text, ('insurer'::character varying)::text, ('handout'::character varying)::text]))))
);
CREATE TABLE public.signed_note (
    id character varying(36) NOT NULL,
    visit_id character varying(36) NOT NULL,
    signed_by character varying(200) NOT NULL,
    signed_at timestamp with time zone NOT NULL,
    case_text text NOT NULL,
    note json NOT NULL,
    release character varying(64) NOT NULL,
    program_version character varying(40) NOT NULL,
    last_story integer
);
CREATE TABLE public.staff (
    id character varying(36) NOT NULL,
    name character varying(80) NOT NULL,
    role character varying(16) NOT NULL,
    supervisor character varying(36),
    password text NOT NULL,
    must_choose boolean NOT NULL,
    totp character varying(64),
    totp_step integer,
    failures integer NOT NULL,
    locked_until timestamp with time zone,
    created_at timestamp with time zone NOT NULL,
    left_at timestamp with time zone,
    CONSTRAINT ck_staff_role CHECK (((role IS NULL) OR ((role)::text = ANY (ARRAY[('therapist'::character varying)::text, ('assistant'::character varying)::text, ('student'::character varying)::text, ('lead'::character varying)::text, ('administrator'::character varying)::text]))))
);
CREATE TABLE public.story (
    number integer NOT NULL,
    person_id character varying(36) NOT NULL,
    episode_id character varying(36) NOT NULL,
    at timestamp with time zone NOT NULL,
    label character varying(200) NOT NULL,
    age integer,
    sex character varying(10),
    dominant character varying(5),
    side character varying(5),
    onset character varying(10),
    weeks double precision,
    irritability character varying(10),
    areas json NOT NULL,
    story text NOT NULL,
    CONSTRAINT ck_story_dominant CHECK (((dominant IS NULL) OR ((dominant)::text = ANY (ARRAY[('right'::character varying)::text, ('left'::character varying)::text])))),
    CONSTRAINT ck_story_irritability CHECK (((irritability IS NULL) OR ((irritability)::text = ANY (ARRAY[('low'::character varying)::text, ('moderate'::character varying)::text, ('high'::character varying)::text])))),
    CONSTRAINT ck_story_onset CHECK (((onset IS NULL) OR ((onset)::text = ANY (ARRAY[('trauma'::character varying)::text, ('sudden'::character varying)::text, ('gradual'::character varying)::text, ('overuse'::character varying)::text, ('unknown'::character varying)::text])))),
    CONSTRAINT ck_story_sex CHECK (((sex IS NULL) OR ((sex)::text = ANY (ARRAY[('female'::character varying)::text, ('male'::character varying)::text, ('other'::character varying)::text])))),
    CONSTRAINT ck_story_side CHECK (((side IS NULL) OR ((side)::text = ANY (ARRAY[('right'::character varying)::text, ('left'::character varying)::text]))))
);
CREATE SEQUENCE public.story_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.story_number_seq OWNED BY public.story.number;
CREATE TABLE public.turn (
    number integer NOT NULL,
    visit_id character varying(36) NOT NULL,
    "position" character varying(12) NOT NULL,
    at timestamp with time zone NOT NULL,
    CONSTRAINT ck_turn_position CHECK ((("position" IS NULL) OR (("position")::text = ANY (ARRAY[('standing'::character varying)::text, ('sitting'::character varying)::text, ('side_lying'::character varying)::text, ('supine'::character varying)::text, ('prone'::character varying)::text]))))
);
CREATE SEQUENCE public.turn_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.turn_number_seq OWNED BY public.turn.number;
CREATE TABLE public.verdict_override (
    number integer NOT NULL,
    visit_id character varying(36) NOT NULL,
    urgency character varying(12) NOT NULL,
    flags json NOT NULL,
    reason text NOT NULL,
    by character varying(200) NOT NULL,
    at timestamp with time zone NOT NULL
);
CREATE SEQUENCE public.verdict_override_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.verdict_override_number_seq OWNED BY public.verdict_override.number;
CREATE TABLE public.visit (
    id character varying(36) NOT NULL,
    episode_id character varying(36) NOT NULL,
    opened_at timestamp with time zone NOT NULL,
    "position" character varying(12) NOT NULL,
    CONSTRAINT ck_visit_position CHECK ((("position" IS NULL) OR (("position")::text = ANY (ARRAY[('standing'::character varying)::text, ('sitting'::character varying)::text, ('side_lying'::character varying)::text, ('supine'::character varying)::text, ('prone'::character varying)::text]))))
);
CREATE TABLE public.wish (
    number integer NOT NULL,
    visit_id character varying(36) NOT NULL,
    procedure character varying(60) NOT NULL,
    wish character varying(8) NOT NULL,
    at timestamp with time zone NOT NULL,
    CONSTRAINT ck_wish_wish CHECK (((wish IS NULL) OR ((wish)::text = ANY (ARRAY[('must'::character varying)::text, ('never'::character varying)::text, ('next'::character varying)::text, ('none'::character varying)::text]))))
);
CREATE SEQUENCE public.wish_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.wish_number_seq OWNED BY public.wish.number;
ALTER TABLE ONLY public.audit ALTER COLUMN number SET DEFAULT nextval('public.audit_number_seq'::regclass);
ALTER TABLE ONLY public.break_glass ALTER COLUMN number SET DEFAULT nextval('public.break_glass_number_seq'::regclass);
ALTER TABLE ONLY public.chart_area ALTER COLUMN number SET DEFAULT nextval('public.chart_area_number_seq'::regclass);
ALTER TABLE ONLY public.class_case ALTER COLUMN number SET DEFAULT nextval('public.class_case_number_seq'::regclass);
ALTER TABLE ONLY public.confirmed_outcome ALTER COLUMN number SET DEFAULT nextval('public.confirmed_outcome_number_seq'::regclass);
ALTER TABLE ONLY public.consent ALTER COLUMN number SET DEFAULT nextval('public.consent_number_seq'::regclass);
ALTER TABLE ONLY public.outcome_answer ALTER COLUMN number SET DEFAULT nextval('public.outcome_answer_number_seq'::regclass);
ALTER TABLE ONLY public.preference ALTER COLUMN number SET DEFAULT nextval('public.preference_number_seq'::regclass);
ALTER TABLE ONLY public.recovery_code ALTER COLUMN number SET DEFAULT nextval('public.recovery_code_number_seq'::regclass);
ALTER TABLE ONLY public.screen_answer ALTER COLUMN number SET DEFAULT nextval('public.screen_answer_number_seq'::regclass);
ALTER TABLE ONLY public.story ALTER COLUMN number SET DEFAULT nextval('public.story_number_seq'::regclass);
ALTER TABLE ONLY public.turn ALTER COLUMN number SET DEFAULT nextval('public.turn_number_seq'::regclass);
ALTER TABLE ONLY public.verdict_override ALTER COLUMN number SET DEFAULT nextval('public.verdict_override_number_seq'::regclass);
ALTER TABLE ONLY public.wish ALTER COLUMN number SET DEFAULT nextval('public.wish_number_seq'::regclass);
INSERT INTO public.addendum VALUES ('90e8c948-66e6-436f-af0c-5c6a110c0349', '9b8b6b00-ef50-404d-a97a-a903151fcd99', 'A. Therapist', '2026-11-25 09:01:12+00', 'Letter sent.');
INSERT INTO public.alembic_version VALUES ('0013');
INSERT INTO public.audit VALUES (1, '2026-11-25 09:00:37+00', 'therapist', 'import case', '001e70c3-f4da-4a0b-9ed0-2872a53c62f1', 'a450ef64-973c-466e-b67d-f5f72b9534c1', '', 1, 'care', '0000000000000000000000000000000000000000000000000000000000000000', '31f6b2f96b5a8d4479e7e2e0a82b3aa229e136c624d25d371b05bc449a3d38d0');
INSERT INTO public.audit VALUES (2, '2026-11-25 09:00:39+00', 'therapist', 'new person', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', NULL, '', 2, 'care', '31f6b2f96b5a8d4479e7e2e0a82b3aa229e136c624d25d371b05bc449a3d38d0', '87cab27ab4028a12092319ea044a5a2f1100826644f0c7443cf5b6b3d50b07f9');
INSERT INTO public.audit VALUES (3, '2026-11-25 09:00:41+00', 'therapist', 'open episode', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', NULL, '', 3, 'care', '87cab27ab4028a12092319ea044a5a2f1100826644f0c7443cf5b6b3d50b07f9', 'bd7abf3e94a55ba1924034fae394e8238370ded6551b1151977809a722b7a2dc');
INSERT INTO public.audit VALUES (4, '2026-11-25 09:00:43+00', 'therapist', 'open visit', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', '', 4, 'care', 'bd7abf3e94a55ba1924034fae394e8238370ded6551b1151977809a722b7a2dc', '9d9f4e121becc2954ac0d12e50f8f999a6cca2d5f4e5c2bce2bf79fc872b93e4');
INSERT INTO public.audit VALUES (5, '2026-11-25 09:00:44+00', 'therapist', 'screen', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', '', 5, 'care', '9d9f4e121becc2954ac0d12e50f8f999a6cca2d5f4e5c2bce2bf79fc872b93e4', '24af328264f88cdd83ba05cc7f3e798c08ed1318da6c453f1ea7e2bb5ee3dd96');
INSERT INTO public.audit VALUES (6, '2026-11-25 09:00:46+00', 'therapist', 'screen', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', '', 6, 'care', '24af328264f88cdd83ba05cc7f3e798c08ed1318da6c453f1ea7e2bb5ee3dd96', 'afa1219fb7210b6d02ca6bc9bf54ce23734a5b006101a1c78406f61a53611c1c');
INSERT INTO public.audit VALUES (7, '2026-11-25 09:00:48+00', 'therapist', 'record finding', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'gh_post', 7, 'care', 'afa1219fb7210b6d02ca6bc9bf54ce23734a5b006101a1c78406f61a53611c1c', 'e37ea3d863c06f5673686ef061f54500369e763ea2ac537db121563b411da7aa');
INSERT INTO public.audit VALUES (8, '2026-11-25 09:00:50+00', 'therapist', 'correct finding', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'gh_post', 8, 'care', 'e37ea3d863c06f5673686ef061f54500369e763ea2ac537db121563b411da7aa', '88489492efaee82dc1f08be46dec1406fca209c7e8c2b746f03c04f23f970636');
INSERT INTO public.audit VALUES (9, '2026-11-25 09:00:52+00', 'therapist', 'turn', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'side_lying', 9, 'care', '88489492efaee82dc1f08be46dec1406fca209c7e8c2b746f03c04f23f970636', '588aa260acbb71cb5f7d436b877292dbcc1d328956e67962c687f2777c7af39c');
INSERT INTO public.audit VALUES (10, '2026-11-25 09:00:54+00', 'therapist', 'record finding', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'gh_inf', 10, 'care', '588aa260acbb71cb5f7d436b877292dbcc1d328956e67962c687f2777c7af39c', '4639d41e9b4ef494240277fd126841b95a9451edce8df55d63a78ddd69d60fd4');
INSERT INTO public.audit VALUES (11, '2026-11-25 09:00:56+00', 'therapist', 'undo', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', '', 11, 'care', '4639d41e9b4ef494240277fd126841b95a9451edce8df55d63a78ddd69d60fd4', '8bc8c012a982b5bc6d535eeae4e2b3ce5883737e72cf2a1b80133d41208ec63a');
INSERT INTO public.audit VALUES (12, '2026-11-25 09:00:58+00', 'therapist', 'redo', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', '', 12, 'care', '8bc8c012a982b5bc6d535eeae4e2b3ce5883737e72cf2a1b80133d41208ec63a', '9af160a94c42796ade3e40326869bf382a186015d22b1248345894b2c485730a');
INSERT INTO public.audit VALUES (13, '2026-11-25 09:01:00+00', 'therapist', 'record finding', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'gh_ant', 13, 'care', '9af160a94c42796ade3e40326869bf382a186015d22b1248345894b2c485730a', 'c91f6de6348b9a6d57cf9b3bcfc10d6ca07036a02b72bc3a98e3731a11678c5c');
INSERT INTO public.audit VALUES (14, '2026-11-25 09:01:02+00', 'therapist', 'undo', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', '', 14, 'care', 'c91f6de6348b9a6d57cf9b3bcfc10d6ca07036a02b72bc3a98e3731a11678c5c', '02f874f4282f9830ab5206ac19791f9d37db9b310a798b87b03ecaa0d756848a');
INSERT INTO public.audit VALUES (15, '2026-11-25 09:01:04+00', 'therapist', 'override', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', '', 15, 'care', '02f874f4282f9830ab5206ac19791f9d37db9b310a798b87b03ecaa0d756848a', '9ba8e639d744137045578fda8c710393f10d559828f38f87099d178dcbc4566d');
INSERT INTO public.audit VALUES (16, '2026-11-25 09:01:06+00', 'therapist', 'record treatment', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', '', 16, 'care', '9ba8e639d744137045578fda8c710393f10d559828f38f87099d178dcbc4566d', 'de40e33b6a501b852f300b2dbdd1340bfad3e880ecde6f0c375a007dcff5e6e2');
INSERT INTO public.audit VALUES (17, '2026-11-25 09:01:08+00', 'therapist', 'record retest', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'gh_post', 17, 'care', 'de40e33b6a501b852f300b2dbdd1340bfad3e880ecde6f0c375a007dcff5e6e2', '389c44f4fe26533b68aa3fcec8d82d68e9cedddbb94cc3777e5a2f04d5769752');
INSERT INTO public.audit VALUES (18, '2026-11-25 09:01:11+00', 'therapist', 'sign note', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', '', 18, 'care', '389c44f4fe26533b68aa3fcec8d82d68e9cedddbb94cc3777e5a2f04d5769752', '7a5a12c19e248dd22e0ba78f02f4df67a6ce729b4b3bb9532b949cd471e6f02c');
INSERT INTO public.audit VALUES (19, '2026-11-25 09:01:13+00', 'therapist', 'addendum', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', '', 19, 'care', '7a5a12c19e248dd22e0ba78f02f4df67a6ce729b4b3bb9532b949cd471e6f02c', '3a900b66ca2baf6d00c89564025f6b65ecc0679619f6412e4e26148893409229');
INSERT INTO public.audit VALUES (20, '2026-11-26 07:28:55.18069+00', 'therapist', 'list people', NULL, NULL, '2 people', 20, 'care', '3a900b66ca2baf6d00c89564025f6b65ecc0679619f6412e4e26148893409229', '159b2243cdd4aabbc60f9e5f1562156e0c11b76c4f0f61175b384d078f9f09c6');
INSERT INTO public.audit VALUES (21, '2026-11-26 07:28:55.23401+00', 'therapist', 'draw area', '001e70c3-f4da-4a0b-9ed0-2872a53c62f1', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'front', 21, 'care', '159b2243cdd4aabbc60f9e5f1562156e0c11b76c4f0f61175b384d078f9f09c6', '43204177d58e5ae5542391f27b8f4a2599a59c9309141db37938e2024bbd9533');
INSERT INTO public.audit VALUES (22, '2026-11-26 07:28:55.27238+00', 'therapist', 'draw area', '001e70c3-f4da-4a0b-9ed0-2872a53c62f1', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'back', 22, 'care', '43204177d58e5ae5542391f27b8f4a2599a59c9309141db37938e2024bbd9533', 'a2fac3995be8dbd43de7035da3f2bcde4148970c908d6e7af0b3c87bb54e9a1a');
INSERT INTO public.audit VALUES (23, '2026-11-26 07:28:55.305907+00', 'therapist', 'take back area', '001e70c3-f4da-4a0b-9ed0-2872a53c62f1', 'a450ef64-973c-466e-b67d-f5f72b9534c1', '', 23, 'care', 'a2fac3995be8dbd43de7035da3f2bcde4148970c908d6e7af0b3c87bb54e9a1a', 'fadcd5bde9c59ed7195182943085db6c7eb93648ffbfe19a208500bea79fd929');
INSERT INTO public.audit VALUES (24, '2026-11-26 07:53:13.490719+00', 'therapist', 'list people', NULL, NULL, '2 people', 24, 'care', 'fadcd5bde9c59ed7195182943085db6c7eb93648ffbfe19a208500bea79fd929', '977498284a1427370ce80b494ce38572cab10fdfed00943238bdd1689bf2f63f');
INSERT INTO public.audit VALUES (25, '2026-11-26 07:53:13.55485+00', 'therapist', 'record measure', '001e70c3-f4da-4a0b-9ed0-2872a53c62f1', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'nprs', 25, 'care', '977498284a1427370ce80b494ce38572cab10fdfed00943238bdd1689bf2f63f', '6555c9cefa29c8572473882d4cdbb244b4a7d6f5b8ceaed9ad39e0fe8a763b91');
INSERT INTO public.audit VALUES (26, '2026-11-26 07:53:13.632375+00', 'therapist', 'prefer', '001e70c3-f4da-4a0b-9ed0-2872a53c62f1', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'thrust', 26, 'care', '6555c9cefa29c8572473882d4cdbb244b4a7d6f5b8ceaed9ad39e0fe8a763b91', '7025cee2f6aa1658881616127551bc72ffc214449c4c1f06cc0b487a75b1795e');
INSERT INTO public.audit_head VALUES (1, 26, '7025cee2f6aa1658881616127551bc72ffc214449c4c1f06cc0b487a75b1795e', '2026-11-26 07:53:13.632375+00');
INSERT INTO public.chart_area VALUES (1, 'kept-area-1', 'a450ef64-973c-466e-b67d-f5f72b9534c1', '2026-11-26 07:28:55.234159+00', NULL, 'front', '[[30.0, 45.0], [31.0, 46.0]]', 'aching', NULL, NULL);
INSERT INTO public.chart_area VALUES (2, 'kept-area-2', 'a450ef64-973c-466e-b67d-f5f72b9534c1', '2026-11-26 07:28:55.272553+00', NULL, 'back', '[[30.0, 45.0]]', NULL, NULL, NULL);
INSERT INTO public.chart_area VALUES (3, '3ae96fe4-ca9b-4f22-a564-5fe744a9946b', 'a450ef64-973c-466e-b67d-f5f72b9534c1', '2026-11-26 07:28:55.306059+00', 'kept-area-2', NULL, '[]', NULL, NULL, NULL);
INSERT INTO public.document_addendum VALUES ('d9000000-0000-4000-8000-000000000002', 'd9000000-0000-4000-8000-000000000001', 'A. Therapist', '2026-11-25 09:01:10+00', 'Sent by post.');
INSERT INTO public.entry VALUES ('f7c64696-3c48-486a-b2f2-d6cae7daedef', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 1, 'finding', '2026-11-25 09:00:11+00', NULL, NULL, 'act_flexion', 'right', NULL, NULL, NULL, 125, 'deg', 165, 5, 100, NULL, true, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('c4c613de-661b-498e-85e3-0436b65e8a61', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 2, 'finding', '2026-11-25 09:00:12+00', NULL, NULL, 'act_abduction', 'right', NULL, NULL, NULL, 100, 'deg', 170, 6, 80, NULL, true, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('4cbfca13-aee0-4112-96f6-905d8e3e6778', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 3, 'finding', '2026-11-25 09:00:13+00', NULL, NULL, 'act_hbb', 'right', NULL, NULL, NULL, 1, 'level', 13, 5, NULL, NULL, true, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('95123c31-68fa-4a4c-8ce4-961ddee0c5ba', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 4, 'finding', '2026-11-25 09:00:14+00', NULL, NULL, 'gh_er_0', 'right', NULL, NULL, 'early_capsular', 35, 'deg', 65, 5, NULL, NULL, true, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('9ec2e67d-62b6-4fcf-852d-28e651884f08', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 5, 'finding', '2026-11-25 09:00:15+00', NULL, NULL, 'gh_er_90', 'right', NULL, NULL, 'early_capsular', 50, 'deg', 90, 5, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('e73b4ae4-ad46-4068-9932-20cc775d7589', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 6, 'finding', '2026-11-25 09:00:16+00', NULL, NULL, 'gh_ir_90', 'right', NULL, NULL, 'early_capsular', 25, 'deg', 60, 4, NULL, NULL, true, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('4fd35072-7ba8-417c-aefc-939ef1e71e1a', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 7, 'finding', '2026-11-25 09:00:17+00', NULL, NULL, 'gh_hadd', 'right', NULL, NULL, 'firm_capsular', 25, 'deg', 40, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('84a103c5-6bf6-401d-923a-8c3b9d4dbcc0', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 8, 'finding', '2026-11-25 09:00:18+00', NULL, NULL, 'gh_post', 'right', NULL, 2, 'firm_capsular', NULL, NULL, NULL, 4, NULL, NULL, true, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('db7a8895-c5a5-4a84-94fb-9c305132d9bb', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 9, 'finding', '2026-11-25 09:00:19+00', NULL, NULL, 'gh_post', 'left', NULL, 3, NULL, NULL, NULL, NULL, 0, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('b4ec6104-91f9-4c7b-bab2-143413e4dffa', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 10, 'finding', '2026-11-25 09:00:20+00', NULL, NULL, 'gh_inf', 'right', NULL, 2, 'firm_capsular', NULL, NULL, NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('b734038c-f460-47fc-a690-59100b5a3302', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 11, 'finding', '2026-11-25 09:00:21+00', NULL, NULL, 'gh_ant', 'right', NULL, 2, 'firm_capsular', NULL, NULL, NULL, 2, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('dc9127db-6173-474e-9f13-7a53f002b9ef', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 12, 'finding', '2026-11-25 09:00:22+00', NULL, NULL, 'gh_ant', 'left', NULL, 3, NULL, NULL, NULL, NULL, 0, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('3a232e3a-a086-4cd3-ab73-38e00a555401', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 13, 'finding', '2026-11-25 09:00:23+00', NULL, NULL, 'th_pa_central', NULL, 'T4', 2, NULL, NULL, NULL, NULL, 2, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('396fef6a-294d-4fbe-96da-de1f7ca17c01', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 14, 'finding', '2026-11-25 09:00:24+00', NULL, NULL, 'th_pa_central', NULL, 'T5', 1, 'firm_capsular', NULL, NULL, NULL, 4, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('d5e1ef68-a54a-424c-8e14-5d24940e1b12', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 15, 'finding', '2026-11-25 09:00:25+00', NULL, NULL, 'th_pa_central', NULL, 'T6', 2, NULL, NULL, NULL, NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('0bf4f6b5-9474-4ecd-ae70-968602883c0a', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 16, 'finding', '2026-11-25 09:00:26+00', NULL, NULL, 'ct_pa', NULL, 'T2', 3, NULL, NULL, NULL, NULL, 1, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('57487cd1-fe36-48dd-909b-25190c430915', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 17, 'finding', '2026-11-25 09:00:27+00', NULL, NULL, 'ac_ant', 'right', NULL, 3, NULL, NULL, NULL, NULL, 0, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('a5d4379b-e23b-490a-9396-608c38e12fef', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 18, 'finding', '2026-11-25 09:00:28+00', NULL, NULL, 'sc_inf_lat', 'right', NULL, 3, NULL, NULL, NULL, NULL, 0, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('dacc6c09-6f7d-4c23-be35-b4adc02a85e8', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 19, 'finding', '2026-11-25 09:00:29+00', NULL, NULL, 'er_lag', 'right', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, 'negative', NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('ea137b01-7a24-4d9b-b3be-c782171c7e1c', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 20, 'finding', '2026-11-25 09:00:30+00', NULL, NULL, 'empty_can', 'right', NULL, NULL, NULL, NULL, NULL, NULL, 4, NULL, NULL, NULL, 'unclear', NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('4bc46bb4-3ba0-43eb-b483-b5e63a71e078', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 21, 'finding', '2026-11-25 09:00:31+00', NULL, NULL, 'iso_er', 'right', NULL, NULL, NULL, NULL, NULL, NULL, 2, NULL, NULL, NULL, NULL, NULL, 5, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('af4d2938-b3b1-4cd0-84eb-e67eb822e455', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 22, 'treatment', '2026-11-25 09:00:32+00', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, '', 'posterior glide in side-lying', 'grade III 3 x 60 s');
INSERT INTO public.entry VALUES ('6ed359d0-1f81-4b84-a6b3-3a864d85e7dd', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 23, 'treatment', '2026-11-25 09:00:33+00', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, '', 'thoracic extension glide T5', 'grade III 2 x 60 s');
INSERT INTO public.entry VALUES ('361882a2-ab2c-4340-a71f-82ad53776697', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 24, 'retest', '2026-11-25 09:00:34+00', NULL, NULL, 'gh_er_0', 'right', NULL, NULL, NULL, 43, 'deg', 65, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('6b5386ba-9cee-4984-b4e5-4744fad12ca5', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 25, 'retest', '2026-11-25 09:00:35+00', NULL, NULL, 'act_abduction', 'right', NULL, NULL, NULL, 128, 'deg', 170, 4, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('2291a336-aec4-4d5e-a56f-c8ef026bf256', 'a450ef64-973c-466e-b67d-f5f72b9534c1', 26, 'retest', '2026-11-25 09:00:36+00', NULL, NULL, 'gh_post', 'right', NULL, 2, NULL, NULL, NULL, NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('95b71263-db89-4348-b171-3415a20a8e94', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 1, 'finding', '2026-11-25 09:00:49+00', NULL, NULL, 'gh_post', 'left', NULL, 2, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('85cf00b3-d051-4526-9ef8-6cbcdca03685', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 2, 'finding', '2026-11-25 09:00:51+00', '95b71263-db89-4348-b171-3415a20a8e94', NULL, 'gh_post', 'left', NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('c11700cb-1bb3-4594-965f-29d7ecac63e4', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 3, 'finding', '2026-11-25 09:00:55+00', NULL, NULL, 'gh_inf', 'left', NULL, 2, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('c5be8a0b-f709-425b-82ff-60933a386888', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 4, 'retraction', '2026-11-25 09:00:57+00', NULL, 'c11700cb-1bb3-4594-965f-29d7ecac63e4', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('779b1fea-c896-490e-844d-f41ddca4a65a', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 5, 'retraction', '2026-11-25 09:00:59+00', NULL, 'c5be8a0b-f709-425b-82ff-60933a386888', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('a7205a48-5847-4319-aa2e-04997332410b', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 6, 'finding', '2026-11-25 09:01:01+00', NULL, NULL, 'gh_ant', 'left', NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('ee212d43-0220-435e-8321-e279a1f13f8e', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 7, 'retraction', '2026-11-25 09:01:03+00', NULL, 'a7205a48-5847-4319-aa2e-04997332410b', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('e421151a-2996-43cc-b752-1f932c90d7da', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 8, 'treatment', '2026-11-25 09:01:07+00', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, 'well borne', 'posterior glide', 'grade 3, 2 x 60 s');
INSERT INTO public.entry VALUES ('f15ea050-252b-49a4-84c5-75f2d0d7cbf0', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 9, 'retest', '2026-11-25 09:01:09+00', NULL, NULL, 'gh_post', 'left', NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.episode VALUES ('3b1be04b-a3a9-4ab6-8a76-7340286275b7', '001e70c3-f4da-4a0b-9ed0-2872a53c62f1', 'Sore, stiff right shoulder, first visit', 'right', 'gradual', 16, 'moderate', '["lateral", "deep", "interscapular"]', 'Reaching overhead, fastening at the back and lying on the right hurt. Eases with rest in an hour. No injury.', '2026-11-25 09:00:02+00');
INSERT INTO public.episode VALUES ('ea5b137d-aebd-48dd-8813-af447a412560', 'db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'left shoulder', 'left', 'gradual', 8, 'low', '["lateral"]', 'Invented for the tests; it''s "quoted".', '2026-11-25 09:00:40+00');
INSERT INTO public.outcome_answer VALUES (1, '24bea4d2-8770-4bd3-97d1-4f4cd1ac0474', 'a450ef64-973c-466e-b67d-f5f72b9534c1', '2026-11-26 07:53:13.555036+00', NULL, 'nprs', '2026-11-26', '[6.0]', NULL, 'rest', '[]', 'person', '', '');
INSERT INTO public.person VALUES ('001e70c3-f4da-4a0b-9ed0-2872a53c62f1', 'Sore, stiff right shoulder, first visit', 54, 'female', 'right', true, '2026-11-25 09:00:01+00');
INSERT INTO public.person VALUES ('db5bf14c-9aa3-47ba-8113-deb9e3aa8e6a', 'Invented, signed', 52, 'male', 'left', true, '2026-11-25 09:00:38+00');
INSERT INTO public.preference VALUES (1, 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'refuse', 'thrust', true, '2026-11-26 07:53:13.632657+00');
INSERT INTO public.screen_answer VALUES (1, 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'trauma_recent', false, '2026-11-25 09:00:04+00');
INSERT INTO public.screen_answer VALUES (2, 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'fever_unwell', false, '2026-11-25 09:00:05+00');
INSERT INTO public.screen_answer VALUES (3, 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'cancer_history', false, '2026-11-25 09:00:06+00');
INSERT INTO public.screen_answer VALUES (4, 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'night_pain_unremitting', false, '2026-11-25 09:00:07+00');
INSERT INTO public.screen_answer VALUES (5, 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'weight_loss_fatigue', false, '2026-11-25 09:00:08+00');
INSERT INTO public.screen_answer VALUES (6, 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'stiff_at_once', false, '2026-11-25 09:00:09+00');
INSERT INTO public.screen_answer VALUES (7, 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'chest_tight', false, '2026-11-25 09:00:10+00');
INSERT INTO public.screen_answer VALUES (8, 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'fever_unwell', false, '2026-11-25 09:00:45+00');
INSERT INTO public.screen_answer VALUES (9, 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'new_mass', true, '2026-11-25 09:00:45+00');
INSERT INTO public.screen_answer VALUES (10, 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'fever_unwell', NULL, '2026-11-25 09:00:47+00');
INSERT INTO public.signed_document VALUES ('d9000000-0000-4000-8000-000000000001', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'referral', 'The surgeon', 'A. Therapist', '2026-11-25 09:01:10+00', '{"form": 1, "title": "Shoulder girdle: examination note", "subtitle": "Invented, signed \u00b7 left shoulder girdle \u00b7 INVENTED EXAMPLE, no real person", "status": "Signed by A. Therapist, 2026-11-25 09:01 UTC", "signed": true, "invented": true, "sections": [{"id": "safety", "heading": "Safety", "blocks": [{"kind": "text", "text": "Safety verdict: urgent. Refer so that the person is seen within days to two weeks (local suspected-cancer or acute-shoulder route where one exists). Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "text", "text": "Overridden by A. Therapist. Recorded reason: A known lipoma, seen last week.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Raised", "Urgency", "Because", "What to do"], "rows": [["Primary or secondary bone or soft tissue tumour [1] (practice)", "urgent", "A new lump, swelling or enlarged node? (answered yes)", "Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely."]], "tone": "plain", "points": [], "alt": ""}], "tone": "alert"}, {"id": "story", "heading": "Person and story", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Age", "52"], ["Sex", "male"], ["Dominant side", "left"], ["Side of complaint", "left"], ["Onset", "gradual, 8 weeks ago"], ["Irritability", "low"], ["Areas", "outer side of the shoulder"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Invented for the tests; it''s \"quoted\".", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "screen", "heading": "Screen", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Precaution", "Because", "Hands", "Label"], "rows": [["Malignant or unknown bone lesion in the region [2]", "new mass (answered yes)", "Refer; benign tumours are relative; contraindicated; contraindicated", "read"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Answered yes:", "items": ["A new lump, swelling or enlarged node?"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Screen", "Question", "Answer"], "rows": [["Cancer", "Ever had cancer, a new lump, weight loss, or pain at night that nothing eases?", "YES"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "UNANSWERED: injury, infection, nerves, spinal cord, neck and head, heart and great vessels, lungs, abdomen, arm circulation, joints and inflammation, bones and medicines, looked at and felt, known before, feeling safe.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "168 of 169 single screening questions are unanswered. Unanswered is not no.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "baseline", "heading": "Baseline: active motion", "blocks": [{"kind": "text", "text": "No baseline was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "findings", "heading": "Findings by region", "blocks": [{"kind": "table", "text": "Glenohumeral joint", "items": [], "columns": ["Procedure", "Where", "Found"], "rows": [["Posterior glide in the resting position", "left", "3/6 normal"], ["Inferior glide in the resting position", "left", "2/6 slightly hypomobile"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "reasoning", "heading": "Reasoning", "blocks": [{"kind": "text", "text": "The safety verdict comes first; these figures do not weigh it.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "chart", "text": "Probability of each contributor with its 90 % interval", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [["Cuff-related pain, left", 0.6580188679245278, 0.337575505391379, 0.9204295035654427], ["Frozen shoulder, left", 0.36238362283902087, 0.06265136081326989, 0.9044192451655753], ["Poor scapular control, left", 0.2999999999999997, 0.07416114120020048, 0.5456249767132992], ["Short pectoralis minor, left", 0.2199999999999999, 0.02657778616834691, 0.5548008483181145], ["Short levator scapulae or upper trapezius, left", 0.2199999999999999, 0.035935649935336274, 0.5148861860947824], ["Lower trapezius weakness, left", 0.19999999999999987, 0.020614901862901238, 0.549407554500918], ["Serratus anterior weakness, left", 0.17999999999999988, 0.015062086282698612, 0.45008734539573975], ["Muscle pain about the shoulder blade, left", 0.16999999999999996, 0.046063101304565174, 0.30548892858279536]], "alt": "Probability with 90 % interval: Cuff-related pain, left 66 % (34 to 92 %); Frozen shoulder, left 36 % (6 to 90 %); Poor scapular control, left 30 % (7 to 55 %); Short pectoralis minor, left 22 % (3 to 55 %); Short levator scapulae or upper trapezius, left 22 % (4 to 51 %); Lower trapezius weakness, left 20 % (2 to 55 %); Serratus anterior weakness, left 18 % (2 to 45 %); Muscle pain about the shoulder blade, left 17 % (5 to 31 %)"}, {"kind": "table", "text": "", "items": [], "columns": ["Contributor", "Probability", "90 % interval", "Before the findings"], "rows": [["Cuff-related pain, left", "66 %", "34 % to 92 %", "66 %"], ["Frozen shoulder (global capsular contracture), left", "36 %", "6 % to 90 %", "27 %"], ["Poor scapular control, left", "30 %", "7 % to 55 %", "30 %"], ["Short pectoralis minor, left", "22 %", "3 % to 55 %", "22 %"], ["Short levator scapulae or upper trapezius, left", "22 %", "4 % to 51 %", "22 %"], ["Lower trapezius weakness, left", "20 %", "2 % to 55 %", "20 %"], ["Serratus anterior weakness, left", "18 %", "2 % to 45 %", "18 %"], ["Muscle pain about the shoulder blade, left", "17 %", "5 % to 31 %", "17 %"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Cuff-related pain, left, because:", "items": ["Story: pain at the outer side: for it, +2.6 decibans (practice)"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Frozen shoulder (global capsular contracture), left, because:", "items": ["Story: frozen shoulder peaks between 40 and 65; gradual onset is usual, and usual among all who come; pain at the outer side, deep, or in the upper arm, as in most who come: for it, +3.8 decibans (practice)", "Inferior glide in the resting position (left): grade 2, slightly hypomobile: for it, +3.4 decibans (practice [3, 4])", "Posterior glide in the resting position (left): grade 3, normal: against it, \u22121.8 decibans (practice [3, 4])"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "What would change this:", "items": ["Coracoid pressure pain compared with AC and lateral subacromial points (left) pain: frozen shoulder (global capsular contracture) would lead", "Belly press (left) positive: frozen shoulder (global capsular contracture) would lead", "Posterior jerk test (left) positive: frozen shoulder (global capsular contracture) would lead"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Probabilities are conditional on the evidence of this release, which is often weak. Several contributors at once are the rule; the figures do not add up to 100 %. The interval includes the uncertainty of the evidence. No combination was left out.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "articular", "heading": "Joint or soft tissue", "blocks": [{"kind": "text", "text": "No restricted angular motion was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "decision", "heading": "What it calls for", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Course", "Expected gain, points", "Needed", "For", "What it may cost; sources"], "rows": [["Mobilise the joint (shoulder joint, left)", "+3.8 (\u22124.7 to +14.8)", "67 %", "frozen shoulder (global capsular contracture) 36 %, tight inferior capsule 14 %", "Soreness for a day or two, time not spent on loading (practice [5, 6, 7, 8])"], ["Advice and time", "0", "always open", "", "what the others are measured against"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "By the story alone, not examined: load the tendons and muscles (shoulder joint, left); mobilise the joint (mid-thorax and ribs); load the tendons and muscles (shoulder blade, left); lengthen the short muscles (shoulder blade, left); train the control of the shoulder blade (shoulder blade, left).", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Points of 100 on a scale of pain and disability at about twelve weeks, against advice and time: a judgement that rests on trials of other people. It supports your choice with the person; it does not make it.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "treatment", "heading": "Treatment tried and re-test", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Technique", "Dose", "Response"], "rows": [["posterior glide", "grade 3, 2 x 60 s", "well borne"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Re-tests", "items": [], "columns": ["Re-test", "Recorded", "Before", "After", "Verdict"], "rows": [["Posterior glide in the resting position, left", "mobility", "3/6", "3/6", "no difference"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Error figures used:", "items": ["Accessory motion, 0 to 6: taken for examiner error by custom 1 grade (practice; one grade, by custom; no published smallest detectable change; manual grading) [5]. Grades by hand agree poorly; the limit of one grade is common practice, not a measured error; the error figure is practice, not read; no figure for how much change matters to people is in the evidence."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "plan", "heading": "Plan", "blocks": [{"kind": "text", "text": "The safety verdict was overridden; its reason stands in the safety screen.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "list", "text": "Not to be done:", "items": ["Hands off until cleared: Primary or secondary bone or soft tissue tumour: Upper limb neurodynamic test, median bias, Upper limb neurodynamic test, radial bias, Upper limb neurodynamic test, ulnar bias, Elevated arm stress test (hands open and close), Trapezius shrug and scapular flip sign, Bone-conduction comparison (olecranon tap, stethoscope on manubrium), Foraminal compression (side-flexion with axial load), Neck distraction, Arm-on-head relief, Thoracic extension correction with arm elevation re-test, Skin-mark flexion ratio C7 to T5, Scapular assistance during arm elevation, Scapular reposition with resisted elevation, Scapular distance to spine in three arm positions, Pectoralis minor length, Levator scapulae length, Latissimus dorsi length, Scapular hold against diagonal resistance in side-lying, AC compression (hands clasped front and back), Cross-body adduction with overpressure, Active compression test, Resisted horizontal extension at 90 degrees, Load and shift, anterior, Load and shift, posterior, Sulcus sign, neutral rotation, Sulcus sign in lateral rotation, Hyperabduction with scapula held, Anterior apprehension, Relocation, Release (surprise) test, Posterior jerk test, Posteroinferior labral load test, Posterior apprehension, Generalised laxity score (0 to 9), Passive flexion in medial rotation with scapula held, Medial rotation at 90 degrees flexion, Resisted elevation, thumb down, Resisted elevation, thumb up, Drop-arm lowering, Lateral rotation lag at the side, Lateral rotation lag at 90 degrees, Lateral rotation strength at 90 degrees scaption, Medial rotation lag (lift-off hold), Belly press, Bear hug, Shrug sign on active elevation, Resisted flexion, forearm supinated, Resisted supination with lateral rotation, Resisted elbow flexion at 120 degrees abduction, Axial load with rotation in elevation, Medial against lateral rotation strength at 90/80 degrees, Coracoid pressure pain compared with AC and lateral subacromial points, Isometric abduction at the side, Isometric lateral rotation at the side, Isometric medial rotation at the side, Isometric flexion, Isometric extension, Isometric adduction, Isometric elbow flexion and supination, Lateral rotation force by hand-held dynamometer, Medial rotation force by hand-held dynamometer, Abduction force by hand-held dynamometer, Lower trapezius strength, Middle trapezius strength, Serratus anterior strength, Rhythmic stabilisation of the GH joint in side-lying", "Hands off until cleared: Primary or secondary bone or soft tissue tumour; precaution: malignant or unknown bone lesion in the region: Neck motion with gentle overpressure, Cervical rotation then side-flexion (first-rib test), Lower neck segmental palpation C5 to C7, Segmental extension glide, bilateral, Segmental extension glide, unilateral, upper side, Segmental extension glide, unilateral, lower side, Segmental flexion glide, Segmental rotation, Segmental side-flexion, Central posteroanterior pressure, Unilateral posteroanterior pressure over the facet, Transverse pressure on the spinous process, Rib springing at the angle T3 to T7, Anteroposterior pressure at the costosternal joints, Lateral rib springing in side-lying, Passive thoracic rotation, whole region, Passive thoracic side-flexion over a roll, Thoracic distraction, Cervicothoracic extension glide, bilateral, Cervicothoracic extension glide, unilateral, Cervicothoracic flexion glide, Cervicothoracic segmental rotation, Cervicothoracic segmental side-flexion, Cervicothoracic posteroanterior pressure, Cervicothoracic transverse pressure, First-rib caudal glide, First-rib spring on breathing out, Second-rib glide, Passive scapular elevation, Passive scapular depression, Passive scapular protraction, Passive scapular retraction, Passive upward rotation, Passive downward rotation, Passive posterior tilt, Passive anterior tilt, Passive lateral (external) rotation of the blade, Passive medial (internal) rotation of the blade, Diagonal: anterior elevation, Diagonal: posterior depression, Diagonal: posterior elevation, Diagonal: anterior depression, Scapular lift from the thorax, Scapular circles, crepitus and quality, Medial clavicle inferior-lateral glide, Medial clavicle superior-medial glide, Medial clavicle anterior glide, Medial clavicle posterior glide, Posterior rotation of the clavicle with scapular depression and retraction, Anterior rotation of the clavicle with scapular protraction, Lateral traction of the clavicle, SC anterior stability stress, Costoclavicular ligament stress (girdle elevation hold), SC motion felt during passive arm elevation, Acromion anterior glide on fixed clavicle, Acromion posterior glide on fixed clavicle, Lateral clavicle inferior glide (spring), Lateral clavicle anteroposterior glide, AC distraction through the arm, Clavicle rotation on fixed scapula, Conoid ligament stress (scapula lateral rotation with clavicle held), Trapezoid ligament stress (scapula medial rotation with clavicle held), Passive GH flexion, scapula held, Passive GH abduction, scapula held, Passive lateral rotation at the side, Passive lateral rotation at 45 degrees abduction, Passive lateral rotation at 90 degrees abduction, Passive medial rotation at 90 degrees abduction, scapula held, Passive medial rotation in side-lying on the tested side, 90 degrees flexion, Passive hand behind back, Passive horizontal adduction, scapula held, Passive horizontal abduction, Passive extension, Low flexion test (medial rotation at 60 degrees flexion), Passive total elevation, girdle free, Combined end-range (abduction, rotation swept) position, Lateral rotation and abduction with scapula free then held, Contract-relax then re-measure lateral rotation and abduction, Posterior glide in the resting position, Posterior glide at 90 degrees flexion, Posterior glide in end-range abduction and lateral rotation, Anterior glide in the resting position, Anterior glide at 90 degrees abduction with lateral rotation, Inferior glide in the resting position, Inferior glide at 90 degrees abduction or end range, Longitudinal caudad along the humerus, Lateral distraction in the treatment plane, Lateral distraction in flexion, Posterior-superior and anterior-inferior diagonal glides, Compression with small glide, Capsule stress: arm neutral, lateral rotation, Capsule stress: arm neutral, medial rotation, Capsule stress: arm neutral, inferior pull, Capsule stress: 45 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, medial rotation, Capsule stress: 90 degrees flexion, lateral rotation, Capsule stress: 90 degrees flexion, medial rotation, Capsule stress: extension, lateral rotation, Capsule stress: extension, medial rotation, Capsule stress: horizontal adduction, medial rotation"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Next test: Active lateral rotation at the side, left, side-lying, 30 s. Tells most about frozen shoulder (global capsular contracture) (36% now, 62% if 20 degrees or more lost, 19% if not)", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Rest of the examination (first 12 of 27 steps)", "items": [], "columns": ["Procedure, in order", "Where", "Position", "Time"], "rows": [["Light touch C4 to T2 and deltoid patch", "left", "side-lying", "60 s"], ["Active extension", "left", "side-lying", "30 s"], ["Active thoracic rotation", "left", "side-lying", "45 s"], ["Active abduction in side-lying from the side to overhead", "left", "side-lying", "30 s"], ["Bicipital groove palpation", "left", "side-lying", "10 s"], ["Coracoid palpation", "left", "side-lying", "10 s"], ["Greater tuberosity and supraspinatus insertion palpation", "left", "side-lying", "10 s"], ["Infraspinatus and teres minor muscle palpation", "left", "side-lying", "20 s"], ["Posterior joint line palpation", "left", "side-lying", "10 s"], ["Latissimus, teres major and axillary fold palpation", "left", "side-lying", "15 s"], ["Pectoralis minor palpation", "left", "side-lying", "15 s"], ["Upper trapezius and levator palpation", "left", "side-lying", "20 s"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Time", "16 min"], ["Changes of position", "2"], ["Left out", "168 procedures"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "cautions", "heading": "Cautions", "blocks": [{"kind": "list", "text": "", "items": ["Supports licensed clinicians and supervised students; it does not diagnose and does not decide.", "Emergency and referral rules come first. If in doubt, stop and refer.", "Thrust techniques need their own screening and the person''s consent.", "Local law, professional codes, scope of practice and data-protection rules prevail.", "Probabilities depend on evidence that is often weak; every figure says whether it was read, recalled or is common practice."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "quiet"}, {"id": "origin", "heading": "Program and evidence", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Program", "Endfeel 0.1.0"], ["Evidence release", "4b1c288cea92"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Labels: read = seen at the address given; memory = recalled, not checked; practice = common practice or judgement, no publication. Numbers in square brackets are the sources below.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "quiet"}], "sources": [{"number": 1, "citation": "Primary-care red flags for the shoulder, summarising Rangan 2015 and Murphy & Bintcliffe BMJ 2023;382:p1255", "address": "https://nursing-notebook.com/simplepage.cfm?ID=x2023071084948560864&linkID=82813"}, {"number": 2, "citation": "Best-practice table: possible contraindications to manipulation or mobilisation. J Altern Complement Med 2019", "address": "https://chiro.org/Graphics_Box_RESEARCH/GRAPHICS_19/BEST_PRACTICES/Table_9.html"}, {"number": 3, "citation": "Common practice of the trade", "address": ""}, {"number": 4, "citation": "Computed by the mechanical shoulder of this program from mechanical_changes.csv, mechanical_tests.csv and the anatomy they rest on (endfeel links)", "address": ""}, {"number": 5, "citation": "common practice of the trade, no publication", "address": ""}, {"number": 6, "citation": "Desjardins-Charbonneau 2015", "address": "https://doi.org/10.2519/jospt.2015.5455"}, {"number": 7, "citation": "Satpute 2022 J Man Manip Ther 30:13-32", "address": "https://doi.org/10.1080/10669817.2021.1955181"}, {"number": 8, "citation": "Page 2016 Cochrane CD012224", "address": "https://doi.org/10.1002/14651858.CD012224"}], "footer": "Supports licensed clinicians; does not diagnose. Emergency and referral rules come first. Local rules prevail.", "release": "4b1c288cea92", "program_version": "0.1.0", "written_at": "2026-11-25 09:01 UTC", "language": "en"}', '4b1c288cea92', '0.1.0');
INSERT INTO public.signed_note VALUES ('9b8b6b00-ef50-404d-a97a-a903151fcd99', 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'A. Therapist', '2026-11-25 09:01:10+00', 'title: left shoulder
invented: yes
age: 52
sex: male
dominant: left
side: left
onset: gradual
weeks: 8
irritability: low
areas: lateral
story: Invented for the tests; it''s "quoted".
screen:
yes: new_mass
gh_post left mobility 3
gh_inf left mobility 2
treated: posterior glide, grade 3, 2 x 60 s; well borne
retest: gh_post left mobility 3
', '{"form": 1, "title": "Shoulder girdle: examination note", "subtitle": "Invented, signed \u00b7 left shoulder girdle \u00b7 INVENTED EXAMPLE, no real person", "status": "Signed by A. Therapist, 2026-11-25 09:01 UTC", "signed": true, "invented": true, "sections": [{"id": "safety", "heading": "Safety", "blocks": [{"kind": "text", "text": "Safety verdict: urgent. Refer so that the person is seen within days to two weeks (local suspected-cancer or acute-shoulder route where one exists). Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "text", "text": "Overridden by A. Therapist. Recorded reason: A known lipoma, seen last week.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Raised", "Urgency", "Because", "What to do"], "rows": [["Primary or secondary bone or soft tissue tumour [1] (practice)", "urgent", "A new lump, swelling or enlarged node? (answered yes)", "Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely."]], "tone": "plain", "points": [], "alt": ""}], "tone": "alert"}, {"id": "story", "heading": "Person and story", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Age", "52"], ["Sex", "male"], ["Dominant side", "left"], ["Side of complaint", "left"], ["Onset", "gradual, 8 weeks ago"], ["Irritability", "low"], ["Areas", "outer side of the shoulder"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Invented for the tests; it''s \"quoted\".", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "screen", "heading": "Screen", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Precaution", "Because", "Hands", "Label"], "rows": [["Malignant or unknown bone lesion in the region [2]", "new mass (answered yes)", "Refer; benign tumours are relative; contraindicated; contraindicated", "read"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Answered yes:", "items": ["A new lump, swelling or enlarged node?"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Screen", "Question", "Answer"], "rows": [["Cancer", "Ever had cancer, a new lump, weight loss, or pain at night that nothing eases?", "YES"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "UNANSWERED: injury, infection, nerves, spinal cord, neck and head, heart and great vessels, lungs, abdomen, arm circulation, joints and inflammation, bones and medicines, looked at and felt, known before, feeling safe.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "168 of 169 single screening questions are unanswered. Unanswered is not no.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "baseline", "heading": "Baseline: active motion", "blocks": [{"kind": "text", "text": "No baseline was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "findings", "heading": "Findings by region", "blocks": [{"kind": "table", "text": "Glenohumeral joint", "items": [], "columns": ["Procedure", "Where", "Found"], "rows": [["Posterior glide in the resting position", "left", "3/6 normal"], ["Inferior glide in the resting position", "left", "2/6 slightly hypomobile"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "reasoning", "heading": "Reasoning", "blocks": [{"kind": "text", "text": "The safety verdict comes first; these figures do not weigh it.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "chart", "text": "Probability of each contributor with its 90 % interval", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [["Cuff-related pain, left", 0.6580188679245278, 0.337575505391379, 0.9204295035654427], ["Frozen shoulder, left", 0.36238362283902087, 0.06265136081326989, 0.9044192451655753], ["Poor scapular control, left", 0.2999999999999997, 0.07416114120020048, 0.5456249767132992], ["Short pectoralis minor, left", 0.2199999999999999, 0.02657778616834691, 0.5548008483181145], ["Short levator scapulae or upper trapezius, left", 0.2199999999999999, 0.035935649935336274, 0.5148861860947824], ["Lower trapezius weakness, left", 0.19999999999999987, 0.020614901862901238, 0.549407554500918], ["Serratus anterior weakness, left", 0.17999999999999988, 0.015062086282698612, 0.45008734539573975], ["Muscle pain about the shoulder blade, left", 0.16999999999999996, 0.046063101304565174, 0.30548892858279536]], "alt": "Probability with 90 % interval: Cuff-related pain, left 66 % (34 to 92 %); Frozen shoulder, left 36 % (6 to 90 %); Poor scapular control, left 30 % (7 to 55 %); Short pectoralis minor, left 22 % (3 to 55 %); Short levator scapulae or upper trapezius, left 22 % (4 to 51 %); Lower trapezius weakness, left 20 % (2 to 55 %); Serratus anterior weakness, left 18 % (2 to 45 %); Muscle pain about the shoulder blade, left 17 % (5 to 31 %)"}, {"kind": "table", "text": "", "items": [], "columns": ["Contributor", "Probability", "90 % interval", "Before the findings"], "rows": [["Cuff-related pain, left", "66 %", "34 % to 92 %", "66 %"], ["Frozen shoulder (global capsular contracture), left", "36 %", "6 % to 90 %", "27 %"], ["Poor scapular control, left", "30 %", "7 % to 55 %", "30 %"], ["Short pectoralis minor, left", "22 %", "3 % to 55 %", "22 %"], ["Short levator scapulae or upper trapezius, left", "22 %", "4 % to 51 %", "22 %"], ["Lower trapezius weakness, left", "20 %", "2 % to 55 %", "20 %"], ["Serratus anterior weakness, left", "18 %", "2 % to 45 %", "18 %"], ["Muscle pain about the shoulder blade, left", "17 %", "5 % to 31 %", "17 %"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Cuff-related pain, left, because:", "items": ["Story: pain at the outer side: for it, +2.6 decibans (practice)"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Frozen shoulder (global capsular contracture), left, because:", "items": ["Story: frozen shoulder peaks between 40 and 65; gradual onset is usual, and usual among all who come; pain at the outer side, deep, or in the upper arm, as in most who come: for it, +3.8 decibans (practice)", "Inferior glide in the resting position (left): grade 2, slightly hypomobile: for it, +3.4 decibans (practice [3, 4])", "Posterior glide in the resting position (left): grade 3, normal: against it, \u22121.8 decibans (practice [3, 4])"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "What would change this:", "items": ["Coracoid pressure pain compared with AC and lateral subacromial points (left) pain: frozen shoulder (global capsular contracture) would lead", "Belly press (left) positive: frozen shoulder (global capsular contracture) would lead", "Posterior jerk test (left) positive: frozen shoulder (global capsular contracture) would lead"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Probabilities are conditional on the evidence of this release, which is often weak. Several contributors at once are the rule; the figures do not add up to 100 %. The interval includes the uncertainty of the evidence. No combination was left out.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "articular", "heading": "Joint or soft tissue", "blocks": [{"kind": "text", "text": "No restricted angular motion was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "decision", "heading": "What it calls for", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Course", "Expected gain, points", "Needed", "For", "What it may cost; sources"], "rows": [["Mobilise the joint (shoulder joint, left)", "+3.8 (\u22124.7 to +14.8)", "67 %", "frozen shoulder (global capsular contracture) 36 %, tight inferior capsule 14 %", "Soreness for a day or two, time not spent on loading (practice [5, 6, 7, 8])"], ["Advice and time", "0", "always open", "", "what the others are measured against"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "By the story alone, not examined: load the tendons and muscles (shoulder joint, left); mobilise the joint (mid-thorax and ribs); load the tendons and muscles (shoulder blade, left); lengthen the short muscles (shoulder blade, left); train the control of the shoulder blade (shoulder blade, left).", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Points of 100 on a scale of pain and disability at about twelve weeks, against advice and time: a judgement that rests on trials of other people. It supports your choice with the person; it does not make it.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "treatment", "heading": "Treatment tried and re-test", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Technique", "Dose", "Response"], "rows": [["posterior glide", "grade 3, 2 x 60 s", "well borne"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Re-tests", "items": [], "columns": ["Re-test", "Recorded", "Before", "After", "Verdict"], "rows": [["Posterior glide in the resting position, left", "mobility", "3/6", "3/6", "no difference"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Error figures used:", "items": ["Accessory motion, 0 to 6: taken for examiner error by custom 1 grade (practice; one grade, by custom; no published smallest detectable change; manual grading) [5]. Grades by hand agree poorly; the limit of one grade is common practice, not a measured error; the error figure is practice, not read; no figure for how much change matters to people is in the evidence."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "plan", "heading": "Plan", "blocks": [{"kind": "text", "text": "The safety verdict was overridden; its reason stands in the safety screen.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "list", "text": "Not to be done:", "items": ["Hands off until cleared: Primary or secondary bone or soft tissue tumour: Upper limb neurodynamic test, median bias, Upper limb neurodynamic test, radial bias, Upper limb neurodynamic test, ulnar bias, Elevated arm stress test (hands open and close), Trapezius shrug and scapular flip sign, Bone-conduction comparison (olecranon tap, stethoscope on manubrium), Foraminal compression (side-flexion with axial load), Neck distraction, Arm-on-head relief, Thoracic extension correction with arm elevation re-test, Skin-mark flexion ratio C7 to T5, Scapular assistance during arm elevation, Scapular reposition with resisted elevation, Scapular distance to spine in three arm positions, Pectoralis minor length, Levator scapulae length, Latissimus dorsi length, Scapular hold against diagonal resistance in side-lying, AC compression (hands clasped front and back), Cross-body adduction with overpressure, Active compression test, Resisted horizontal extension at 90 degrees, Load and shift, anterior, Load and shift, posterior, Sulcus sign, neutral rotation, Sulcus sign in lateral rotation, Hyperabduction with scapula held, Anterior apprehension, Relocation, Release (surprise) test, Posterior jerk test, Posteroinferior labral load test, Posterior apprehension, Generalised laxity score (0 to 9), Passive flexion in medial rotation with scapula held, Medial rotation at 90 degrees flexion, Resisted elevation, thumb down, Resisted elevation, thumb up, Drop-arm lowering, Lateral rotation lag at the side, Lateral rotation lag at 90 degrees, Lateral rotation strength at 90 degrees scaption, Medial rotation lag (lift-off hold), Belly press, Bear hug, Shrug sign on active elevation, Resisted flexion, forearm supinated, Resisted supination with lateral rotation, Resisted elbow flexion at 120 degrees abduction, Axial load with rotation in elevation, Medial against lateral rotation strength at 90/80 degrees, Coracoid pressure pain compared with AC and lateral subacromial points, Isometric abduction at the side, Isometric lateral rotation at the side, Isometric medial rotation at the side, Isometric flexion, Isometric extension, Isometric adduction, Isometric elbow flexion and supination, Lateral rotation force by hand-held dynamometer, Medial rotation force by hand-held dynamometer, Abduction force by hand-held dynamometer, Lower trapezius strength, Middle trapezius strength, Serratus anterior strength, Rhythmic stabilisation of the GH joint in side-lying", "Hands off until cleared: Primary or secondary bone or soft tissue tumour; precaution: malignant or unknown bone lesion in the region: Neck motion with gentle overpressure, Cervical rotation then side-flexion (first-rib test), Lower neck segmental palpation C5 to C7, Segmental extension glide, bilateral, Segmental extension glide, unilateral, upper side, Segmental extension glide, unilateral, lower side, Segmental flexion glide, Segmental rotation, Segmental side-flexion, Central posteroanterior pressure, Unilateral posteroanterior pressure over the facet, Transverse pressure on the spinous process, Rib springing at the angle T3 to T7, Anteroposterior pressure at the costosternal joints, Lateral rib springing in side-lying, Passive thoracic rotation, whole region, Passive thoracic side-flexion over a roll, Thoracic distraction, Cervicothoracic extension glide, bilateral, Cervicothoracic extension glide, unilateral, Cervicothoracic flexion glide, Cervicothoracic segmental rotation, Cervicothoracic segmental side-flexion, Cervicothoracic posteroanterior pressure, Cervicothoracic transverse pressure, First-rib caudal glide, First-rib spring on breathing out, Second-rib glide, Passive scapular elevation, Passive scapular depression, Passive scapular protraction, Passive scapular retraction, Passive upward rotation, Passive downward rotation, Passive posterior tilt, Passive anterior tilt, Passive lateral (external) rotation of the blade, Passive medial (internal) rotation of the blade, Diagonal: anterior elevation, Diagonal: posterior depression, Diagonal: posterior elevation, Diagonal: anterior depression, Scapular lift from the thorax, Scapular circles, crepitus and quality, Medial clavicle inferior-lateral glide, Medial clavicle superior-medial glide, Medial clavicle anterior glide, Medial clavicle posterior glide, Posterior rotation of the clavicle with scapular depression and retraction, Anterior rotation of the clavicle with scapular protraction, Lateral traction of the clavicle, SC anterior stability stress, Costoclavicular ligament stress (girdle elevation hold), SC motion felt during passive arm elevation, Acromion anterior glide on fixed clavicle, Acromion posterior glide on fixed clavicle, Lateral clavicle inferior glide (spring), Lateral clavicle anteroposterior glide, AC distraction through the arm, Clavicle rotation on fixed scapula, Conoid ligament stress (scapula lateral rotation with clavicle held), Trapezoid ligament stress (scapula medial rotation with clavicle held), Passive GH flexion, scapula held, Passive GH abduction, scapula held, Passive lateral rotation at the side, Passive lateral rotation at 45 degrees abduction, Passive lateral rotation at 90 degrees abduction, Passive medial rotation at 90 degrees abduction, scapula held, Passive medial rotation in side-lying on the tested side, 90 degrees flexion, Passive hand behind back, Passive horizontal adduction, scapula held, Passive horizontal abduction, Passive extension, Low flexion test (medial rotation at 60 degrees flexion), Passive total elevation, girdle free, Combined end-range (abduction, rotation swept) position, Lateral rotation and abduction with scapula free then held, Contract-relax then re-measure lateral rotation and abduction, Posterior glide in the resting position, Posterior glide at 90 degrees flexion, Posterior glide in end-range abduction and lateral rotation, Anterior glide in the resting position, Anterior glide at 90 degrees abduction with lateral rotation, Inferior glide in the resting position, Inferior glide at 90 degrees abduction or end range, Longitudinal caudad along the humerus, Lateral distraction in the treatment plane, Lateral distraction in flexion, Posterior-superior and anterior-inferior diagonal glides, Compression with small glide, Capsule stress: arm neutral, lateral rotation, Capsule stress: arm neutral, medial rotation, Capsule stress: arm neutral, inferior pull, Capsule stress: 45 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, medial rotation, Capsule stress: 90 degrees flexion, lateral rotation, Capsule stress: 90 degrees flexion, medial rotation, Capsule stress: extension, lateral rotation, Capsule stress: extension, medial rotation, Capsule stress: horizontal adduction, medial rotation"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Next test: Active lateral rotation at the side, left, side-lying, 30 s. Tells most about frozen shoulder (global capsular contracture) (36% now, 62% if 20 degrees or more lost, 19% if not)", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Rest of the examination (first 12 of 27 steps)", "items": [], "columns": ["Procedure, in order", "Where", "Position", "Time"], "rows": [["Light touch C4 to T2 and deltoid patch", "left", "side-lying", "60 s"], ["Active extension", "left", "side-lying", "30 s"], ["Active thoracic rotation", "left", "side-lying", "45 s"], ["Active abduction in side-lying from the side to overhead", "left", "side-lying", "30 s"], ["Bicipital groove palpation", "left", "side-lying", "10 s"], ["Coracoid palpation", "left", "side-lying", "10 s"], ["Greater tuberosity and supraspinatus insertion palpation", "left", "side-lying", "10 s"], ["Infraspinatus and teres minor muscle palpation", "left", "side-lying", "20 s"], ["Posterior joint line palpation", "left", "side-lying", "10 s"], ["Latissimus, teres major and axillary fold palpation", "left", "side-lying", "15 s"], ["Pectoralis minor palpation", "left", "side-lying", "15 s"], ["Upper trapezius and levator palpation", "left", "side-lying", "20 s"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Time", "16 min"], ["Changes of position", "2"], ["Left out", "168 procedures"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "cautions", "heading": "Cautions", "blocks": [{"kind": "list", "text": "", "items": ["Supports licensed clinicians and supervised students; it does not diagnose and does not decide.", "Emergency and referral rules come first. If in doubt, stop and refer.", "Thrust techniques need their own screening and the person''s consent.", "Local law, professional codes, scope of practice and data-protection rules prevail.", "Probabilities depend on evidence that is often weak; every figure says whether it was read, recalled or is common practice."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "quiet"}, {"id": "origin", "heading": "Program and evidence", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Program", "Endfeel 0.1.0"], ["Evidence release", "4b1c288cea92"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Labels: read = seen at the address given; memory = recalled, not checked; practice = common practice or judgement, no publication. Numbers in square brackets are the sources below.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "quiet"}], "sources": [{"number": 1, "citation": "Primary-care red flags for the shoulder, summarising Rangan 2015 and Murphy & Bintcliffe BMJ 2023;382:p1255", "address": "https://nursing-notebook.com/simplepage.cfm?ID=x2023071084948560864&linkID=82813"}, {"number": 2, "citation": "Best-practice table: possible contraindications to manipulation or mobilisation. J Altern Complement Med 2019", "address": "https://chiro.org/Graphics_Box_RESEARCH/GRAPHICS_19/BEST_PRACTICES/Table_9.html"}, {"number": 3, "citation": "Common practice of the trade", "address": ""}, {"number": 4, "citation": "Computed by the mechanical shoulder of this program from mechanical_changes.csv, mechanical_tests.csv and the anatomy they rest on (endfeel links)", "address": ""}, {"number": 5, "citation": "common practice of the trade, no publication", "address": ""}, {"number": 6, "citation": "Desjardins-Charbonneau 2015", "address": "https://doi.org/10.2519/jospt.2015.5455"}, {"number": 7, "citation": "Satpute 2022 J Man Manip Ther 30:13-32", "address": "https://doi.org/10.1080/10669817.2021.1955181"}, {"number": 8, "citation": "Page 2016 Cochrane CD012224", "address": "https://doi.org/10.1002/14651858.CD012224"}], "footer": "Supports licensed clinicians; does not diagnose. Emergency and referral rules come first. Local rules prevail.", "release": "4b1c288cea92", "program_version": "0.1.0", "written_at": "2026-11-25 09:01 UTC", "language": "en"}', '4b1c288cea92', '0.1.0', NULL);
INSERT INTO public.turn VALUES (1, 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'side_lying', '2026-11-25 09:00:53+00');
INSERT INTO public.verdict_override VALUES (1, 'c9f8e9e8-1557-4d39-878b-113b752540e9', 'urgent', '{"malignancy": "urgent"}', 'A known lipoma, seen last week.', 'A. Therapist', '2026-11-25 09:01:05+00');
INSERT INTO public.visit VALUES ('a450ef64-973c-466e-b67d-f5f72b9534c1', '3b1be04b-a3a9-4ab6-8a76-7340286275b7', '2026-11-25 09:00:03+00', 'sitting');
INSERT INTO public.visit VALUES ('c9f8e9e8-1557-4d39-878b-113b752540e9', 'ea5b137d-aebd-48dd-8813-af447a412560', '2026-11-25 09:00:42+00', 'sitting');
INSERT INTO public.wish VALUES (1, 'a450ef64-973c-466e-b67d-f5f72b9534c1', 'hawkins', 'never', '2026-11-25 19:00:00+00');
SELECT pg_catalog.setval('public.audit_number_seq', 26, true);
SELECT pg_catalog.setval('public.break_glass_number_seq', 1, false);
SELECT pg_catalog.setval('public.chart_area_number_seq', 3, true);
SELECT pg_catalog.setval('public.class_case_number_seq', 1, false);
SELECT pg_catalog.setval('public.confirmed_outcome_number_seq', 1, false);
SELECT pg_catalog.setval('public.consent_number_seq', 1, false);
SELECT pg_catalog.setval('public.outcome_answer_number_seq', 1, true);
SELECT pg_catalog.setval('public.preference_number_seq', 1, true);
SELECT pg_catalog.setval('public.recovery_code_number_seq', 1, false);
SELECT pg_catalog.setval('public.screen_answer_number_seq', 10, true);
SELECT pg_catalog.setval('public.story_number_seq', 1, false);
SELECT pg_catalog.setval('public.turn_number_seq', 1, true);
SELECT pg_catalog.setval('public.verdict_override_number_seq', 1, true);
SELECT pg_catalog.setval('public.wish_number_seq', 1, true);
ALTER TABLE ONLY public.alembic_version
    ADD CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num);
ALTER TABLE ONLY public.addendum
    ADD CONSTRAINT pk_addendum PRIMARY KEY (id);
ALTER TABLE ONLY public.assignment
    ADD CONSTRAINT pk_assignment PRIMARY KEY (person_id, staff_id);
ALTER TABLE ONLY public.audit
    ADD CONSTRAINT pk_audit PRIMARY KEY (number);
ALTER TABLE ONLY public.audit_head
    ADD CONSTRAINT pk_audit_head PRIMARY KEY (id);
ALTER TABLE ONLY public.break_glass
    ADD CONSTRAINT pk_break_glass PRIMARY KEY (number);
ALTER TABLE ONLY public.chart_area
    ADD CONSTRAINT pk_chart_area PRIMARY KEY (number);
ALTER TABLE ONLY public.class_case
    ADD CONSTRAINT pk_class_case PRIMARY KEY (number);
ALTER TABLE ONLY public.class_member
    ADD CONSTRAINT pk_class_member PRIMARY KEY (id);
ALTER TABLE ONLY public.confirmed_outcome
    ADD CONSTRAINT pk_confirmed_outcome PRIMARY KEY (number);
ALTER TABLE ONLY public.consent
    ADD CONSTRAINT pk_consent PRIMARY KEY (number);
ALTER TABLE ONLY public.document_addendum
    ADD CONSTRAINT pk_document_addendum PRIMARY KEY (id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT pk_entry PRIMARY KEY (id);
ALTER TABLE ONLY public.episode
    ADD CONSTRAINT pk_episode PRIMARY KEY (id);
ALTER TABLE ONLY public.learning_class
    ADD CONSTRAINT pk_learning_class PRIMARY KEY (id);
ALTER TABLE ONLY public.outcome_answer
    ADD CONSTRAINT pk_outcome_answer PRIMARY KEY (number);
ALTER TABLE ONLY public.passkey
    ADD CONSTRAINT pk_passkey PRIMARY KEY (id);
ALTER TABLE ONLY public.person
    ADD CONSTRAINT pk_person PRIMARY KEY (id);
ALTER TABLE ONLY public.preference
    ADD CONSTRAINT pk_preference PRIMARY KEY (number);
ALTER TABLE ONLY public.presented
    ADD CONSTRAINT pk_presented PRIMARY KEY (id);
ALTER TABLE ONLY public.purge
    ADD CONSTRAINT pk_purge PRIMARY KEY (person_id);
ALTER TABLE ONLY public.recovery_code
    ADD CONSTRAINT pk_recovery_code PRIMARY KEY (number);
ALTER TABLE ONLY public.screen_answer
    ADD CONSTRAINT pk_screen_answer PRIMARY KEY (number);
ALTER TABLE ONLY public.sign_in
    ADD CONSTRAINT pk_sign_in PRIMARY KEY (id);
ALTER TABLE ONLY public.signed_document
    ADD CONSTRAINT pk_signed_document PRIMARY KEY (id);
ALTER TABLE ONLY public.signed_note
    ADD CONSTRAINT pk_signed_note PRIMARY KEY (id);
ALTER TABLE ONLY public.staff
    ADD CONSTRAINT pk_staff PRIMARY KEY (id);
ALTER TABLE ONLY public.story
    ADD CONSTRAINT pk_story PRIMARY KEY (number);
ALTER TABLE ONLY public.turn
    ADD CONSTRAINT pk_turn PRIMARY KEY (number);
ALTER TABLE ONLY public.verdict_override
    ADD CONSTRAINT pk_verdict_override PRIMARY KEY (number);
ALTER TABLE ONLY public.visit
    ADD CONSTRAINT pk_visit PRIMARY KEY (id);
ALTER TABLE ONLY public.wish
    ADD CONSTRAINT pk_wish PRIMARY KEY (number);
ALTER TABLE ONLY public.audit
    ADD CONSTRAINT uq_audit_place UNIQUE (place);
ALTER TABLE ONLY public.chart_area
    ADD CONSTRAINT uq_chart_area_id UNIQUE (id);
ALTER TABLE ONLY public.class_case
    ADD CONSTRAINT uq_class_case_class_id_code UNIQUE (class_id, code);
ALTER TABLE ONLY public.class_member
    ADD CONSTRAINT uq_class_member_class_id_name UNIQUE (class_id, name);
ALTER TABLE ONLY public.confirmed_outcome
    ADD CONSTRAINT uq_confirmed_outcome_id UNIQUE (id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT uq_entry_visit_id_sequence UNIQUE (visit_id, sequence);
ALTER TABLE ONLY public.learning_class
    ADD CONSTRAINT uq_learning_class_join_code UNIQUE (join_code);
ALTER TABLE ONLY public.outcome_answer
    ADD CONSTRAINT uq_outcome_answer_id UNIQUE (id);
ALTER TABLE ONLY public.signed_document
    ADD CONSTRAINT uq_signed_document_visit_id_kind_recipient UNIQUE (visit_id, kind, recipient);
ALTER TABLE ONLY public.signed_note
    ADD CONSTRAINT uq_signed_note_visit_id UNIQUE (visit_id);
ALTER TABLE ONLY public.staff
    ADD CONSTRAINT uq_staff_name UNIQUE (name);
CREATE INDEX ix_addendum_note_id ON public.addendum USING btree (note_id);
CREATE INDEX ix_audit_person_id ON public.audit USING btree (person_id);
CREATE INDEX ix_break_glass_person_id ON public.break_glass USING btree (person_id);
CREATE INDEX ix_chart_area_visit_id ON public.chart_area USING btree (visit_id);
CREATE INDEX ix_class_case_class_id ON public.class_case USING btree (class_id);
CREATE INDEX ix_class_member_class_id ON public.class_member USING btree (class_id);
CREATE INDEX ix_confirmed_outcome_episode_id ON public.confirmed_outcome USING btree (episode_id);
CREATE INDEX ix_consent_person_id ON public.consent USING btree (person_id);
CREATE INDEX ix_document_addendum_document_id ON public.document_addendum USING btree (document_id);
CREATE INDEX ix_episode_person_id ON public.episode USING btree (person_id);
CREATE INDEX ix_outcome_answer_visit_id ON public.outcome_answer USING btree (visit_id);
CREATE INDEX ix_passkey_staff_id ON public.passkey USING btree (staff_id);
CREATE INDEX ix_preference_visit_id ON public.preference USING btree (visit_id);
CREATE INDEX ix_presented_visit_id ON public.presented USING btree (visit_id);
CREATE INDEX ix_recovery_code_staff_id ON public.recovery_code USING btree (staff_id);
CREATE INDEX ix_screen_answer_visit_id ON public.screen_answer USING btree (visit_id);
CREATE INDEX ix_sign_in_staff_id ON public.sign_in USING btree (staff_id);
CREATE INDEX ix_story_episode_id ON public.story USING btree (episode_id);
CREATE INDEX ix_story_person_id ON public.story USING btree (person_id);
CREATE INDEX ix_turn_visit_id ON public.turn USING btree (visit_id);
CREATE INDEX ix_verdict_override_visit_id ON public.verdict_override USING btree (visit_id);
CREATE INDEX ix_visit_episode_id ON public.visit USING btree (episode_id);
CREATE INDEX ix_wish_visit_id ON public.wish USING btree (visit_id);
CREATE TRIGGER addendum_frozen BEFORE UPDATE ON public.addendum FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER addendum_kept BEFORE DELETE ON public.addendum FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_addendum();
CREATE TRIGGER addendum_no_truncate BEFORE TRUNCATE ON public.addendum FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER audit_append_only BEFORE UPDATE ON public.audit FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER audit_chained BEFORE INSERT ON public.audit FOR EACH ROW EXECUTE FUNCTION public.refuse_unchained_audit();
CREATE TRIGGER audit_head_no_delete BEFORE DELETE ON public.audit_head FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER audit_head_no_truncate BEFORE TRUNCATE ON public.audit_head FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER audit_head_onwards BEFORE UPDATE ON public.audit_head FOR EACH ROW EXECUTE FUNCTION public.refuse_other_audit_head();
CREATE TRIGGER audit_no_delete BEFORE DELETE ON public.audit FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER audit_no_truncate BEFORE TRUNCATE ON public.audit FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER chart_area_closed BEFORE INSERT ON public.chart_area FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER chart_area_kept BEFORE DELETE ON public.chart_area FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_chart_area();
CREATE TRIGGER chart_area_no_truncate BEFORE TRUNCATE ON public.chart_area FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER chart_area_no_update BEFORE UPDATE ON public.chart_area FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER confirmed_outcome_kept BEFORE DELETE ON public.confirmed_outcome FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_confirmed_outcome();
CREATE TRIGGER confirmed_outcome_no_truncate BEFORE TRUNCATE ON public.confirmed_outcome FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER confirmed_outcome_no_update BEFORE UPDATE ON public.confirmed_outcome FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER consent_kept BEFORE DELETE ON public.consent FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_consent();
CREATE TRIGGER consent_no_truncate BEFORE TRUNCATE ON public.consent FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER consent_no_update BEFORE UPDATE ON public.consent FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER document_addendum_kept BEFORE DELETE ON public.document_addendum FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_document_addendum();
CREATE TRIGGER document_addendum_no_truncate BEFORE TRUNCATE ON public.document_addendum FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER document_addendum_no_update BEFORE UPDATE ON public.document_addendum FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER entry_append_only BEFORE UPDATE ON public.entry FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER entry_closed BEFORE INSERT ON public.entry FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER entry_kept BEFORE DELETE ON public.entry FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_entry();
CREATE TRIGGER entry_no_truncate BEFORE TRUNCATE ON public.entry FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER episode_kept BEFORE DELETE ON public.episode FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_episode();
CREATE TRIGGER episode_no_truncate BEFORE TRUNCATE ON public.episode FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER episode_no_update BEFORE UPDATE ON public.episode FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER outcome_answer_closed BEFORE INSERT ON public.outcome_answer FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER outcome_answer_kept BEFORE DELETE ON public.outcome_answer FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_outcome_answer();
CREATE TRIGGER outcome_answer_no_truncate BEFORE TRUNCATE ON public.outcome_answer FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER outcome_answer_no_update BEFORE UPDATE ON public.outcome_answer FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER person_kept BEFORE DELETE ON public.person FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_person();
CREATE TRIGGER person_no_truncate BEFORE TRUNCATE ON public.person FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER person_no_update BEFORE UPDATE ON public.person FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER preference_closed BEFORE INSERT ON public.preference FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER preference_kept BEFORE DELETE ON public.preference FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_preference();
CREATE TRIGGER preference_no_truncate BEFORE TRUNCATE ON public.preference FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER preference_no_update BEFORE UPDATE ON public.preference FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER purge_no_document BEFORE INSERT ON public.purge FOR EACH ROW EXECUTE FUNCTION public.refuse_purge_of_documents();
CREATE TRIGGER purge_no_truncate BEFORE TRUNCATE ON public.purge FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER purge_no_update BEFORE UPDATE ON public.purge FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER purge_unsigned BEFORE INSERT ON public.purge FOR EACH ROW EXECUTE FUNCTION public.refuse_purge_when_signed();
CREATE TRIGGER screen_answer_append_only BEFORE UPDATE ON public.screen_answer FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER screen_answer_closed BEFORE INSERT ON public.screen_answer FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER screen_answer_kept BEFORE DELETE ON public.screen_answer FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_screen_answer();
CREATE TRIGGER screen_answer_no_truncate BEFORE TRUNCATE ON public.screen_answer FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER signed_document_kept BEFORE DELETE ON public.signed_document FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_signed_document();
CREATE TRIGGER signed_document_no_truncate BEFORE TRUNCATE ON public.signed_document FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER signed_document_no_update BEFORE UPDATE ON public.signed_document FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER signed_note_frozen BEFORE UPDATE ON public.signed_note FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER signed_note_kept BEFORE DELETE ON public.signed_note FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_signed_note();
CREATE TRIGGER signed_note_no_truncate BEFORE TRUNCATE ON public.signed_note FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER story_kept BEFORE DELETE ON public.story FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_story();
CREATE TRIGGER story_no_truncate BEFORE TRUNCATE ON public.story FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER story_no_update BEFORE UPDATE ON public.story FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER turn_closed BEFORE INSERT ON public.turn FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER turn_kept BEFORE DELETE ON public.turn FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_turn();
CREATE TRIGGER turn_no_truncate BEFORE TRUNCATE ON public.turn FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER turn_no_update BEFORE UPDATE ON public.turn FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER verdict_override_append_only BEFORE UPDATE ON public.verdict_override FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER verdict_override_closed BEFORE INSERT ON public.verdict_override FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER verdict_override_kept BEFORE DELETE ON public.verdict_override FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_verdict_override();
CREATE TRIGGER verdict_override_no_truncate BEFORE TRUNCATE ON public.verdict_override FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER visit_kept BEFORE DELETE ON public.visit FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_visit();
CREATE TRIGGER visit_no_truncate BEFORE TRUNCATE ON public.visit FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER visit_no_update BEFORE UPDATE ON public.visit FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER wish_closed BEFORE INSERT ON public.wish FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER wish_kept BEFORE DELETE ON public.wish FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_of_wish();
CREATE TRIGGER wish_no_truncate BEFORE TRUNCATE ON public.wish FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER wish_no_update BEFORE UPDATE ON public.wish FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
ALTER TABLE ONLY public.addendum
    ADD CONSTRAINT fk_addendum_note_id_signed_note FOREIGN KEY (note_id) REFERENCES public.signed_note(id);
ALTER TABLE ONLY public.assignment
    ADD CONSTRAINT fk_assignment_person_id_person FOREIGN KEY (person_id) REFERENCES public.person(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.assignment
    ADD CONSTRAINT fk_assignment_staff_id_staff FOREIGN KEY (staff_id) REFERENCES public.staff(id);
ALTER TABLE ONLY public.break_glass
    ADD CONSTRAINT fk_break_glass_person_id_person FOREIGN KEY (person_id) REFERENCES public.person(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.break_glass
    ADD CONSTRAINT fk_break_glass_staff_id_staff FOREIGN KEY (staff_id) REFERENCES public.staff(id);
ALTER TABLE ONLY public.chart_area
    ADD CONSTRAINT fk_chart_area_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.class_case
    ADD CONSTRAINT fk_class_case_class_id_learning_class FOREIGN KEY (class_id) REFERENCES public.learning_class(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.class_member
    ADD CONSTRAINT fk_class_member_class_id_learning_class FOREIGN KEY (class_id) REFERENCES public.learning_class(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.confirmed_outcome
    ADD CONSTRAINT fk_confirmed_outcome_episode_id_episode FOREIGN KEY (episode_id) REFERENCES public.episode(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.consent
    ADD CONSTRAINT fk_consent_person_id_person FOREIGN KEY (person_id) REFERENCES public.person(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.document_addendum
    ADD CONSTRAINT fk_document_addendum_document_id_signed_document FOREIGN KEY (document_id) REFERENCES public.signed_document(id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT fk_entry_retracts_entry FOREIGN KEY (retracts) REFERENCES public.entry(id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT fk_entry_supersedes_entry FOREIGN KEY (supersedes) REFERENCES public.entry(id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT fk_entry_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.episode
    ADD CONSTRAINT fk_episode_person_id_person FOREIGN KEY (person_id) REFERENCES public.person(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.outcome_answer
    ADD CONSTRAINT fk_outcome_answer_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.passkey
    ADD CONSTRAINT fk_passkey_staff_id_staff FOREIGN KEY (staff_id) REFERENCES public.staff(id);
ALTER TABLE ONLY public.preference
    ADD CONSTRAINT fk_preference_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.presented
    ADD CONSTRAINT fk_presented_staff_id_staff FOREIGN KEY (staff_id) REFERENCES public.staff(id);
ALTER TABLE ONLY public.presented
    ADD CONSTRAINT fk_presented_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.purge
    ADD CONSTRAINT fk_purge_person_id_person FOREIGN KEY (person_id) REFERENCES public.person(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.recovery_code
    ADD CONSTRAINT fk_recovery_code_staff_id_staff FOREIGN KEY (staff_id) REFERENCES public.staff(id);
ALTER TABLE ONLY public.screen_answer
    ADD CONSTRAINT fk_screen_answer_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.sign_in
    ADD CONSTRAINT fk_sign_in_staff_id_staff FOREIGN KEY (staff_id) REFERENCES public.staff(id);
ALTER TABLE ONLY public.signed_document
    ADD CONSTRAINT fk_signed_document_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id);
ALTER TABLE ONLY public.signed_note
    ADD CONSTRAINT fk_signed_note_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id);
ALTER TABLE ONLY public.staff
    ADD CONSTRAINT fk_staff_supervisor_staff FOREIGN KEY (supervisor) REFERENCES public.staff(id);
ALTER TABLE ONLY public.story
    ADD CONSTRAINT fk_story_episode_id_episode FOREIGN KEY (episode_id) REFERENCES public.episode(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.story
    ADD CONSTRAINT fk_story_person_id_person FOREIGN KEY (person_id) REFERENCES public.person(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.turn
    ADD CONSTRAINT fk_turn_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.verdict_override
    ADD CONSTRAINT fk_verdict_override_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.visit
    ADD CONSTRAINT fk_visit_episode_id_episode FOREIGN KEY (episode_id) REFERENCES public.episode(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.wish
    ADD CONSTRAINT fk_wish_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
