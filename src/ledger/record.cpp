// SPDX-License-Identifier: Apache-2.0
#include "ledger/record.h"

#include <algorithm>

#include "base/text.h"
#include "ledger/body_fields.h"
#include "ledger/json_text.h"
#include "ledger/plain_record.h"
#include "ledger/wire.h"

namespace nthtree::ledger {
namespace {

using nlohmann::json;

base::Error field_error(const char* where, const char* id, std::string what) {
  return {id, std::move(what), where};
}

base::Result<std::int64_t> read_whole(const json& object, const char* name, std::int64_t high) {
  const auto found = object.find(name);
  if (found == object.end()) return field_error(name, "missing_field", "is missing");
  if (!found->is_number_integer()) {
    return field_error(name, "wrong_type", "is not a whole number");
  }
  // An unsigned number above 2^63 would turn negative and be refused below, as it should.
  const auto value = found->get<std::int64_t>();
  if (value < 0 || value > high) {
    return field_error(name, "out_of_range",
                       base::print("%lld is out of range: 0 to %lld is allowed",
                                   static_cast<long long>(value), static_cast<long long>(high)));
  }
  return value;
}

base::Result<RecordId> read_id(const json& object, const char* name) {
  const auto found = object.find(name);
  if (found == object.end()) return field_error(name, "missing_field", "is missing");
  const auto id = found->is_string() ? parse_record_id(found->get_ref<const std::string&>())
                                     : std::nullopt;
  if (!id) {
    return field_error(name, "not_an_id",
                       "must be 32 hexadecimal digits, a dash and a sequence number from 1 on");
  }
  return *id;
}

base::Status read_envelope(const json& object, Record& record, std::int64_t& version) {
  const auto v = read_whole(object, "v", 1000000);
  if (!v) return v.error();
  version = *v;
  const auto id = read_id(object, "id");
  if (!id) return id.error();
  record.id = *id;
  const auto at = read_whole(object, "at_ms", at_ms_max);
  if (!at) return at.error();
  const auto tick = read_whole(object, "tick", tick_max);
  if (!tick) return tick.error();
  record.stamp = {*at, static_cast<std::uint32_t>(*tick)};
  const auto clock = read_whole(object, "clock_ms", at_ms_max);
  if (!clock) return clock.error();
  record.clock_ms = *clock;

  FieldReader reader(object, "");
  reader.text_or("author", record.author, id_bytes_max);
  reader.text("kind", record.kind, id_bytes_max);
  if (reader.failed()) return reader.error();
  if (object.contains("replaces")) {
    const auto replaces = read_id(object, "replaces");
    if (!replaces) return replaces.error();
    record.replaces = *replaces;
  }
  return base::Ok{};
}

}  // namespace

std::size_t kind_index(std::string_view name) {
  const auto found = std::find(kind_names.begin(), kind_names.end(), name);
  return found == kind_names.end() ? 0 : static_cast<std::size_t>(found - kind_names.begin());
}

Body body_of_kind(std::size_t kind) {
  Body body;
  each_kind([&]<typename Row>(const Row&) {
    constexpr std::size_t index = internal::index_in<typename Row::Body>(kinds);
    if (index == kind) body.emplace<index>();
  });
  return body;
}

base::Result<Record> read_kept_record(std::string_view bytes) {
  base::Result<Record> record{Record()};
  if (read_plain_record(bytes, *record)) return record;
  return read_any_record(bytes);
}

base::Result<Record> read_record(std::string_view bytes) {
  auto record = read_kept_record(bytes);
  if (record) record->bytes = bytes;
  return record;
}

base::Result<Record> read_any_record(std::string_view bytes) {
  const auto parsed = parse_json(bytes, {record_bytes_max, json_depth_max});
  if (!parsed) return parsed.error();
  const json& object = *parsed;
  if (!object.is_object()) return base::Error{"wrong_type", "a record is a JSON object", ""};
  if (bytes.find('\n') != std::string_view::npos || bytes.find('\r') != std::string_view::npos) {
    return base::Error{"not_one_line", "a record is one line, without a line break", ""};
  }

  Record record;
  std::int64_t version = 0;
  if (const auto envelope = read_envelope(object, record, version); !envelope) {
    return envelope.error();
  }
  const auto body = object.find("body");
  if (body == object.end() || !body->is_object()) {
    return field_error("body", "missing_field", "must be an object");
  }
  // A later version may have changed what a known kind means: keep it, do not guess.
  if (version == wire::version) {
    record.body = body_of_kind(kind_index(record.kind));
    FieldReader reader(*body, "body");
    Visited visitor(reader);
    body_fields(visitor, record.body);
    if (reader.failed()) return reader.error();
  }
  return record;
}

base::Result<Record> write_record(Record record) {
  NTHTREE_ASSERT(record.body.index() != 0);
  NTHTREE_ASSERT(record.id.sequence > 0);
  FieldWriter body;
  Visited visitor(body);
  body_fields(visitor, record.body);
  if (body.failed()) return body.error();

  record.kind = kind_names[record.body.index()];
  FieldWriter envelope;
  envelope.integer("v", wire::version, {1, wire::version});
  envelope.raw("id", "\"" + record.id.text() + "\"");
  envelope.raw("at_ms", base::print("%lld", static_cast<long long>(record.stamp.at_ms)));
  envelope.raw("tick", base::print("%u", record.stamp.tick));
  envelope.raw("clock_ms", base::print("%lld", static_cast<long long>(record.clock_ms)));
  envelope.text_or("author", record.author, id_bytes_max);
  envelope.text("kind", record.kind, id_bytes_max);
  if (record.replaces) envelope.raw("replaces", "\"" + record.replaces->text() + "\"");
  envelope.raw("body", body.object());
  if (envelope.failed()) return envelope.error();
  // Reading back checks what writing alone does not see, such as the whole length.
  return read_record(envelope.object());
}

}  // namespace nthtree::ledger
