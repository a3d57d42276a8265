// SPDX-License-Identifier: Apache-2.0
#include "sync/message.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "ledger/json_text.h"
#include "sync/packed_lines.h"

namespace nthtree::sync {
namespace {

using ledger::json_quoted;
using nlohmann::json;

constexpr std::size_t epoch_bytes_max = 64;
constexpr std::int64_t number_max = 999999999999999;  // below 2^53, for JavaScript

base::Error wrong(std::string where, std::string what) {
  return {"bad_message", std::move(what), std::move(where)};
}

// [line, "owned" | "hearsay", why it is set aside, what it is ordered by]
bool read_standing(const json& entry, std::map<std::size_t, Standing>& standings) {
  if (!entry.is_array() || entry.size() < 4 || !entry[0].is_number_unsigned() ||
      !entry[1].is_string() || !entry[2].is_string() || !entry[3].is_number_unsigned()) {
    return false;
  }
  standings[entry[0].get<std::size_t>()] = {
      entry[1].get_ref<const std::string&>() == "hearsay" ? Rank::hearsay : Rank::owned,
      entry[2].get<std::string>(), entry[3].get<std::int64_t>()};
  return true;
}

// Reads fields of one object and remembers the first that is wrong.
class Fields {
 public:
  explicit Fields(const json& object) : object_(object) {}

  std::string text(const char* name, std::size_t bytes_max) {
    const auto found = object_.find(name);
    if (found == object_.end() || !found->is_string() ||
        found->get_ref<const std::string&>().size() > bytes_max) {
      return fail(name, base::print("must be a text of at most %zu bytes", bytes_max)), "";
    }
    return found->get<std::string>();
  }

  std::int64_t whole(const char* name) {
    const auto found = object_.find(name);
    if (found == object_.end() || !found->is_number_integer()) {
      return fail(name, "must be a whole number"), 0;
    }
    const auto value = found->get<std::int64_t>();
    if (value < 0 || value > number_max) return fail(name, "is out of range"), 0;
    return value;
  }
  std::uint64_t count(const char* name) { return static_cast<std::uint64_t>(whole(name)); }

  bool flag(const char* name) {  // absent is false
    const auto found = object_.find(name);
    if (found == object_.end()) return false;
    if (!found->is_boolean()) return fail(name, "must be true or false"), false;
    return found->get<bool>();
  }

  ledger::DeviceKey device(const char* name) {
    const auto key = ledger::parse_device_key(text(name, 32));
    if (!key) return fail(name, "must be 32 hexadecimal digits"), ledger::DeviceKey{};
    return *key;
  }

  Coverage coverage(const char* name) {
    Coverage coverage;
    const auto found = object_.find(name);
    if (found == object_.end() || !found->is_object()) {
      return fail(name, "must be an object of devices"), coverage;
    }
    for (const auto& [key, ranges] : found->items()) {
      const auto device = ledger::parse_device_key(key);
      const auto set = ranges.is_string()
                           ? parse_sequence_set(ranges.get_ref<const std::string&>())
                           : std::nullopt;
      if (!device || !set) return fail(name, "must be ranges by device"), Coverage{};
      if (!set->empty()) coverage[*device] = *set;
    }
    return coverage;
  }

  // Absent is none: an older version does not send it.
  std::vector<ledger::RecordId> ids_or(const char* name) {
    return object_.contains(name) ? ids(name) : std::vector<ledger::RecordId>{};
  }

  std::vector<std::string> proofs() {
    std::vector<std::string> proofs;
    const auto found = object_.find("proofs");
    if (found == object_.end()) return proofs;
    if (!found->is_array() || found->size() > proofs_max) return fail("proofs", "too many"), proofs;
    for (const json& proof : *found) {
      if (proof.is_string()) proofs.push_back(proof.get<std::string>());
    }
    return proofs;
  }

  std::map<std::size_t, Standing> standings() {
    std::map<std::size_t, Standing> standings;
    const auto found = object_.find("standing");
    if (found == object_.end()) return standings;
    if (!found->is_array()) return fail("standing", "must be a list"), standings;
    for (const json& entry : *found) {
      if (!read_standing(entry, standings)) return fail("standing", "must be of lines"), standings;
    }
    return standings;
  }

  std::vector<ledger::RecordId> ids(const char* name) {
    std::vector<ledger::RecordId> ids;
    const auto found = object_.find(name);
    if (found == object_.end() || !found->is_array()) return fail(name, "must be a list"), ids;
    for (const json& entry : *found) {
      const auto id = entry.is_string()
                          ? ledger::parse_record_id(entry.get_ref<const std::string&>())
                          : std::nullopt;
      if (!id) return fail(name, "must be a list of record ids"), ids;
      ids.push_back(*id);
    }
    return ids;
  }

  Cursor cursor() {
    return {text("epoch", epoch_bytes_max), count("arrival"), text("opening", epoch_bytes_max)};
  }

  void fail(const char* name, std::string what) {
    if (!error_) error_ = wrong(name, std::move(what));
  }
  const std::optional<base::Error>& error() const { return error_; }

 private:
  const json& object_;
  std::optional<base::Error> error_;
};

std::string begin() { return base::print("{\"v\":%d", protocol_version); }

std::string field(const char* name, std::string_view text) {
  return std::string(",\"") + name + "\":" + json_quoted(text);
}
std::string field(const char* name, std::uint64_t value) {
  return std::string(",\"") + name + "\":" + std::to_string(value);
}
std::string field(const char* name, bool value) {
  return std::string(",\"") + name + (value ? "\":true" : "\":false");
}

std::string role_field(const std::optional<orchard::Role>& role) {
  return role ? field("role", std::string_view(role_name(*role))) : "";
}
// One that this version does not know is none.
std::optional<orchard::Role> role_in(const json& head) {
  const auto found = head.find("role");
  if (found == head.end() || !found->is_string()) return std::nullopt;
  return role_named(found->get_ref<const std::string&>());
}

std::string field(const char* name, const Coverage& coverage) {
  std::string text = std::string(",\"") + name + "\":{";
  const char* comma = "";
  for (const auto& [device, set] : coverage) {
    text += comma + ("\"" + device.text()) + "\":\"" + set.text() + '"';
    comma = ",";
  }
  return text + '}';
}

std::string field(const char* name, const std::vector<ledger::RecordId>& ids) {
  std::string text = std::string(",\"") + name + "\":[";
  const char* comma = "";
  for (const ledger::RecordId& id : ids) {
    text += comma + ("\"" + id.text()) + '"';
    comma = ",";
  }
  return text + ']';
}

std::string standing_field(const std::map<std::size_t, Standing>& standings) {
  if (standings.empty()) return "";
  std::string text;
  for (const auto& [line, standing] : standings) {
    text += (text.empty() ? "[" : ",[") + std::to_string(line) +
            (standing.rank == Rank::hearsay ? ",\"hearsay\"," : ",\"owned\",") +
            json_quoted(standing.aside) + ',' + std::to_string(standing.at_ms) + ']';
  }
  return ",\"standing\":[" + text + ']';
}

// Absent where there are none, as older versions know it.
std::string field_or(const char* name, const std::vector<ledger::RecordId>& ids) {
  return ids.empty() ? "" : field(name, ids);
}

std::string proofs_field(const std::vector<std::string>& proofs) {
  std::string text;
  for (const std::string& proof : proofs) text += (text.empty() ? "" : ",") + json_quoted(proof);
  return proofs.empty() ? "" : ",\"proofs\":[" + text + ']';
}

// What of a phone's holdings fits one hello. Naming less is always true; the hub asks for less.
Coverage clipped(const Coverage& have, const ledger::DeviceKey& own, std::int64_t turn) {
  Coverage fitting;
  std::size_t bytes = 0;
  const auto add = [&](const ledger::DeviceKey& device, const SequenceSet& set) {
    SequenceSet part;
    for (const SequenceSet::Range& range : set.ranges()) {
      if (part.ranges().size() == have_ranges_max) break;
      part.add(range.first, range.last);
    }
    const std::size_t length = part.text().size() + 40;
    if (bytes + length > have_bytes_max) return false;
    bytes += length;
    fitting[device] = std::move(part);
    return true;
  };
  if (const auto mine = have.find(own); mine != have.end()) add(mine->first, mine->second);
  // Another part each time: where all fits, the order does not matter.
  auto at = have.begin();
  if (!have.empty()) std::advance(at, static_cast<std::size_t>(turn / 1000) % have.size());
  for (std::size_t i = 0; i < have.size(); ++i, ++at) {
    if (at == have.end()) at = have.begin();
    if (at->first != own && !add(at->first, at->second)) break;
  }
  return fitting;
}

std::string cursor_fields(const Cursor& cursor) {
  return field("epoch", cursor.epoch) + field("arrival", cursor.arrival) +
         field("opening", cursor.opening);
}

std::string wall_field(std::int64_t wall_ms) {
  return field("wall_ms", static_cast<std::uint64_t>(wall_ms < 0 ? 0 : wall_ms));
}

void append_lines(std::string& text, const std::vector<std::string_view>& lines) {
  for (const std::string_view line : lines) {
    text += '\n';
    text += line;
  }
}

// How many bytes the lines have, line breaks before them included: a message cut short on its way
// must not pass for a whole one.
std::uint64_t line_bytes(const std::vector<std::string_view>& lines) {
  std::uint64_t bytes = 0;
  for (const std::string_view line : lines) bytes += line.size() + 1;
  return bytes;
}

// The lines of a packed page; false where they are not whole, or too many.
bool unpack(const Envelope& envelope, std::uint64_t lines, PullReply& reply) {
  if (lines > page_records_max) return false;
  auto text =
      unpack_lines(envelope.packed, static_cast<std::size_t>(lines), body_bytes_max);
  if (!text) return false;
  reply.packed = true;
  reply.text = std::make_shared<const std::string>(std::move(*text));
  for (std::string_view rest = *reply.text; !rest.empty();) {
    reply.lines.push_back(base::take_line(rest));
  }
  return true;
}

// The ids of a batch as runs: [["<device>",first,last],…], because they nearly always follow on.
std::string run_field(const std::vector<ledger::RecordId>& ids) {
  std::string text = ",\"runs\":[";
  for (std::size_t i = 0; i < ids.size();) {
    std::size_t end = i + 1;
    while (end < ids.size() && ids[end].device == ids[i].device &&
           ids[end].sequence == ids[end - 1].sequence + 1) {
      ++end;
    }
    text += (i ? ",[\"" : "[\"") + ids[i].device.text() + "\"," +
            std::to_string(ids[i].sequence) + ',' + std::to_string(ids[end - 1].sequence) + ']';
    i = end;
  }
  return text + ']';
}

bool read_run(const json& run, std::vector<ledger::RecordId>& ids) {
  if (!run.is_array() || run.size() != 3 || !run[0].is_string() ||
      !run[1].is_number_unsigned() || !run[2].is_number_unsigned()) {
    return false;
  }
  const auto device = ledger::parse_device_key(run[0].get_ref<const std::string&>());
  const auto first = run[1].get<std::uint64_t>(), last = run[2].get<std::uint64_t>();
  if (!device || first < 1 || last < first || last > std::uint64_t{number_max}) return false;
  if (last - first >= batch_records_max - ids.size()) return false;
  for (std::uint64_t sequence = first; sequence <= last; ++sequence) {
    ids.push_back({*device, sequence});
  }
  return true;
}

template <typename T>
base::Result<T> finish(const Fields& fields, T message) {
  if (fields.error()) return *fields.error();
  return message;
}

}  // namespace

constexpr std::array<const char*, 3> role_names = {"pruner", "lead", "manager"};

const char* role_name(orchard::Role role) { return role_names[static_cast<std::size_t>(role)]; }

std::optional<orchard::Role> role_named(std::string_view name) {
  for (std::size_t i = 0; i < role_names.size(); ++i) {
    if (name == role_names[i]) return static_cast<orchard::Role>(i);
  }
  return std::nullopt;
}

base::Result<Envelope> read_envelope(std::string_view body) {
  const std::string_view first = body.substr(0, body.find('\n'));
  auto head = ledger::parse_json(first, {head_bytes_max, 4});
  if (!head) return head.error();
  if (!head->is_object()) return wrong("", "the first line must be a JSON object");
  const auto version = head->find("v");
  if (version == head->end() || !version->is_number_integer()) {
    return wrong("v", "must be the protocol's version");
  }
  if (version->get<std::int64_t>() != protocol_version) {
    return base::Error{"other_version", "this protocol version is not spoken here", "v"};
  }
  Envelope envelope{std::move(*head), {}, {}};
  body.remove_prefix(first.size());
  if (envelope.head.contains("packed")) {
    if (!body.empty()) envelope.packed = body.substr(1);
    return envelope;
  }
  while (!body.empty()) {
    body.remove_prefix(1);  // the line break before the line
    const std::string_view line = body.substr(0, body.find('\n'));
    if (envelope.lines.size() == batch_records_max) return wrong("", "too many records");
    if (!line.empty()) envelope.lines.push_back(line);
    body.remove_prefix(line.size());
  }
  return envelope;
}

std::string write(const JoinRequest& m) {
  return begin() + field("code", m.code) + field("name", m.name) + '}';
}
std::string write(const JoinReply& m) {
  return begin() + field("bearer", m.bearer) + role_field(m.role) + '}';
}

std::string write(const HelloRequest& m) {
  return begin() + field("device", m.device.text()) + cursor_fields(m.cursor) +
         wall_field(m.wall_ms) + proofs_field(m.proofs) +
         field("have", clipped(m.have, m.device, m.wall_ms)) + '}';
}
std::string write(const HelloReply& m) {
  return begin() + field("epoch", m.epoch) + wall_field(m.wall_ms) + field("head", m.head) +
         field("backed_up", m.backed_up) + (m.not_owner ? field("not_owner", true) : "") +
         role_field(m.role) + (m.apart.empty() ? "" : field("apart", m.apart)) +
         field("missing", m.missing) + '}';
}

std::string write(const PushRequest& m) {
  std::string text = begin() + field("device", m.device.text()) +
                     field("bytes", line_bytes(m.lines)) + standing_field(m.standings) +
                     run_field(m.ids) + '}';
  append_lines(text, m.lines);
  return text;
}
std::string write(const PushReply& m) {
  return begin() + field("epoch", m.epoch) + field("head", m.head) +
         field("backed_up", m.backed_up) + field("conflicts", m.conflicts) +
         field("set_aside", m.set_aside) + field_or("wanted", m.wanted) + '}';
}

std::string write(const PullRequest& m) {
  return begin() + cursor_fields(m.cursor) + field("records_max", m.records_max) +
         (m.packed ? field("packed", true) : "") + '}';
}
std::string write(const PullReply& m) {
  std::string text =
      begin() + cursor_fields(m.cursor) + field("reset", m.reset) + field("more", m.more) +
      standing_field(m.standings) + field_or("gone", m.gone) +
      (m.packed ? field("packed", std::uint64_t{m.lines.size()}) : "") +
      field("bytes", line_bytes(m.lines)) + '}';
  m.packed ? void(text += '\n' + pack_lines(m.lines)) : append_lines(text, m.lines);
  return text;
}

ledger::DeviceKey device_of_proof(std::string_view proof) { return rehomed_id(proof).device; }

std::string write_error(const base::Error& error) {
  return begin() + field("error", error.id) + field("what", error.what) +
         field("where", error.where) + '}';
}

std::string write_code_refusal(const base::Error& error, std::int64_t minutes) {
  return begin() + field("error", error.id) + field("what", error.what) +
         field("minutes", static_cast<std::uint64_t>(minutes)) + '}';
}

base::Result<JoinRequest> read_join_request(const Envelope& e) {
  Fields f(e.head);
  JoinRequest m{f.text("code", 64), f.text("name", device_name_bytes_max)};
  return finish(f, std::move(m));
}
base::Result<JoinReply> read_join_reply(const Envelope& e) {
  Fields f(e.head);
  JoinReply m{f.text("bearer", 128), role_in(e.head)};
  const auto fits = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
           c == '-' || c == '_';
  };
  if (m.bearer.empty() || !std::all_of(m.bearer.begin(), m.bearer.end(), fits)) {
    f.fail("bearer", "must be a key");
  }
  return finish(f, std::move(m));
}

base::Result<HelloRequest> read_hello_request(const Envelope& e) {
  Fields f(e.head);
  HelloRequest m{f.device("device"), f.coverage("have"), f.cursor(), f.whole("wall_ms"),
                 f.proofs()};
  return finish(f, std::move(m));
}
base::Result<HelloReply> read_hello_reply(const Envelope& e) {
  Fields f(e.head);
  HelloReply m{f.text("epoch", epoch_bytes_max), f.whole("wall_ms"), f.coverage("missing"),
               f.count("head"), f.count("backed_up"), f.flag("not_owner"),
               e.head.contains("apart") ? f.coverage("apart") : Coverage{}, role_in(e.head)};
  if (m.epoch.empty()) f.fail("epoch", "must not be empty");
  return finish(f, std::move(m));
}

base::Result<PushRequest> read_push_request(const Envelope& e) {
  Fields f(e.head);
  PushRequest m{f.device("device"), {}, e.lines, f.standings()};
  const auto runs = e.head.find("runs");
  if (runs == e.head.end() || !runs->is_array()) {
    f.fail("runs", "must be a list of [device, first, last]");
  } else {
    for (const json& run : *runs) {
      if (!read_run(run, m.ids)) {
        f.fail("runs", "must be a list of [device, first, last], at most 200 records in all");
        break;
      }
    }
  }
  if (f.count("bytes") != line_bytes(m.lines)) f.fail("bytes", "must be those of the lines");
  if (m.ids.size() != m.lines.size()) f.fail("runs", "must name as many records as lines follow");
  return finish(f, std::move(m));
}
base::Result<PushReply> read_push_reply(const Envelope& e) {
  Fields f(e.head);
  PushReply m{f.text("epoch", epoch_bytes_max), f.count("head"), f.count("backed_up"),
              f.ids("conflicts"), f.ids("set_aside"), f.ids_or("wanted")};
  return finish(f, std::move(m));
}

base::Result<PullRequest> read_pull_request(const Envelope& e) {
  Fields f(e.head);
  PullRequest m{f.cursor(), f.count("records_max"), f.flag("packed")};
  if (m.records_max < 1) f.fail("records_max", "must be at least 1");
  return finish(f, std::move(m));
}
base::Result<PullReply> read_pull_reply(const Envelope& e) {
  Fields f(e.head);
  PullReply m{f.cursor(),        f.flag("reset"), f.flag("more"), e.lines, f.standings(),
              f.ids_or("gone"), false,           nullptr};
  if (e.head.contains("packed") && !unpack(e, f.count("packed"), m)) {
    f.fail("packed", "must be so many packed records");
  }
  if (f.count("bytes") != line_bytes(m.lines)) f.fail("bytes", "must be those of the lines");
  if (m.cursor.epoch.empty()) f.fail("epoch", "must not be empty");
  return finish(f, std::move(m));
}

}  // namespace nthtree::sync
