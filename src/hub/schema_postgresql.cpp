// SPDX-License-Identifier: Apache-2.0
#include "hub/schema_postgresql.h"

namespace nthtree::hub {
namespace {

constexpr std::int64_t version_now = 1;

// Texts that come from phones are bytea: PostgreSQL's text takes neither U+0000 nor broken UTF-8.
// `change` counts a farm's transactions; what another hub must take in is found by it.
constexpr const char* schema = R"(
CREATE TABLE farms (
  id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, name text NOT NULL UNIQUE,
  epoch text NOT NULL, last_arrival bigint NOT NULL DEFAULT 0, change bigint NOT NULL DEFAULT 0,
  dropped_change bigint NOT NULL DEFAULT 0, aside_change bigint NOT NULL DEFAULT 0,
  owners_change bigint NOT NULL DEFAULT 0, office_version bigint NOT NULL DEFAULT 0,
  health_ms bigint NOT NULL DEFAULT 0);
CREATE TABLE records (
  farm bigint NOT NULL, arrival bigint NOT NULL, device bytea NOT NULL, sequence bigint NOT NULL,
  bytes bytea NOT NULL, carrier bytea NOT NULL, received_ms bigint NOT NULL,
  sender bigint NOT NULL, rank bigint NOT NULL, aside bytea NOT NULL, at_ms bigint NOT NULL,
  sum bigint NOT NULL, PRIMARY KEY (farm, device, sequence));
CREATE UNIQUE INDEX records_by_arrival ON records (farm, arrival);
CREATE TABLE dropped (
  farm bigint NOT NULL, change bigint NOT NULL, device bytea NOT NULL, sequence bigint NOT NULL,
  PRIMARY KEY (farm, change, device, sequence));
CREATE TABLE owners (
  farm bigint NOT NULL, device bytea NOT NULL, key bigint NOT NULL, change bigint NOT NULL,
  PRIMARY KEY (farm, device));
CREATE TABLE key_uses (
  farm bigint NOT NULL, key bigint NOT NULL, records bigint NOT NULL, bytes bigint NOT NULL,
  last_ms bigint NOT NULL, last_arrival bigint NOT NULL, PRIMARY KEY (farm, key));
CREATE TABLE set_aside (
  farm bigint NOT NULL, id bigint GENERATED ALWAYS AS IDENTITY, device bytea NOT NULL,
  sequence bigint NOT NULL, key bigint NOT NULL, digest bytea NOT NULL, bytes bytea NOT NULL,
  reason bytea NOT NULL, carrier bytea NOT NULL, received_ms bigint NOT NULL,
  change bigint NOT NULL, PRIMARY KEY (farm, device, sequence, key, digest));
CREATE TABLE openings (
  farm bigint NOT NULL, first_arrival bigint NOT NULL, opening text NOT NULL,
  PRIMARY KEY (farm, first_arrival));
CREATE TABLE backed_up (
  farm bigint NOT NULL, device bytea NOT NULL, head bigint NOT NULL, PRIMARY KEY (farm, device));
CREATE TABLE join_codes (
  farm bigint NOT NULL, hash bytea NOT NULL, expires_ms bigint NOT NULL, used_ms bigint NOT NULL,
  role text NOT NULL, person bytea NOT NULL, name bytea NOT NULL, PRIMARY KEY (farm, hash));
CREATE TABLE keys (
  farm bigint NOT NULL, id bigint NOT NULL, hash bytea NOT NULL UNIQUE, name bytea NOT NULL,
  joined_ms bigint NOT NULL, withdrawn_ms bigint NOT NULL, role text NOT NULL,
  person bytea NOT NULL, PRIMARY KEY (farm, id));
ALTER TABLE farms ENABLE ROW LEVEL SECURITY;
ALTER TABLE farms FORCE ROW LEVEL SECURITY;
CREATE POLICY own_farm ON farms USING (name = current_setting('nthtree.farm_name', true));
DO $$ DECLARE its text; BEGIN
  FOREACH its IN ARRAY ARRAY['records', 'dropped', 'owners', 'key_uses', 'set_aside', 'openings',
                             'backed_up', 'join_codes', 'keys'] LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', its);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', its);
    EXECUTE format('CREATE POLICY own_farm ON %I USING '
                   '(farm = nullif(current_setting(''nthtree.farm'', true), '''')::bigint)', its);
  END LOOP;
END $$;
CREATE TABLE nthtree_schema (version bigint NOT NULL);
INSERT INTO nthtree_schema VALUES (1);
)";

base::Status check_role(PgConnection& database) {
  const PgRows role = database.query(
      "SELECT (rolsuper OR rolbypassrls)::int FROM pg_roles WHERE rolname = current_user");
  if (database.failure()) return *database.failure();
  if (role.size() == 1 && role.integer(0, 0) == 0) return base::Ok{};
  return base::Error{"store_failed",
                     "the hub's role passes row-level security: give it one without SUPERUSER and "
                     "BYPASSRLS, which owns the database", "PostgreSQL"};
}

// A server that acknowledges before the disk has it would make the hub lie.
base::Status check_settings(PgConnection& database) {
  const PgRows found = database.query(
      "SELECT name::text, setting FROM pg_settings WHERE name IN ('fsync', 'full_page_writes') AND "
      "setting <> 'on' OR name = 'synchronous_commit' AND setting = 'off' OR "
      "name = 'server_encoding' AND setting <> 'UTF8'");
  if (database.failure()) return *database.failure();
  if (found.size() == 0) return base::Ok{};
  return base::Error{"store_failed",
                     found.text(0, 0) + " is " + found.text(0, 1) + ", which is not allowed here",
                     "PostgreSQL"};
}

}  // namespace

base::Status prepare_schema(PgConnection& database) {
  if (const auto role = check_role(database); !role) return role;
  if (const auto settings = check_settings(database); !settings) return settings;
  database.execute("BEGIN");
  database.query("SELECT pg_advisory_xact_lock(5643092111)");  // one hub at a time
  const PgRows is_there = database.query(
      "SELECT (to_regclass('nthtree_schema') IS NOT NULL)::int");
  if (!database.failure() && is_there.integer(0, 0) == 0) database.execute(schema);
  const PgRows version = database.query("SELECT max(version) FROM nthtree_schema");
  database.commit();
  if (database.failure()) return *database.failure();
  if (version.integer(0, 0) == version_now) return base::Ok{};
  return base::Error{"store_failed", "the tables are those of another version of the hub",
                     "PostgreSQL"};
}

}  // namespace nthtree::hub
