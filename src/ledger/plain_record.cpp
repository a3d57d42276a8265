// SPDX-License-Identifier: Apache-2.0
#include "ledger/plain_record.h"

#include "ledger/body_fields.h"
#include "ledger/plain_json.h"
#include "ledger/wire.h"

namespace nthtree::ledger {
namespace {

using Part = PlainJson::Part;
using Kind = PlainJson::Kind;

// Takes the fields of one object; `failed` from the first that FieldReader (fields.h) would refuse
// or that is not written plainly.
class PlainFields final : public FieldVisitor {
 public:
  PlainFields(const PlainJson& plain, const Part& object) : json_(plain), object_(object) {}

  bool failed() const { return failed_; }
  const Part* find(std::string_view name) {
    const Part* part = json_.find(object_, name, last_);
    if (part) last_ = part;
    return part;
  }

  void text(const char* name, std::string& value, std::size_t bytes_max) override {
    take_text(find(name), value, 1, bytes_max);
  }
  void text_or(const char* name, std::string& value, std::size_t bytes_max) override {
    if (const Part* part = find(name)) take_text(part, value, 0, bytes_max);
  }
  void integer(const char* name, int& value, Range range) override {
    take_whole(find(name), value, range);
  }
  void integer_or(const char* name, int& value, Range range) override {
    if (const Part* part = find(name)) take_whole(part, value, range);
  }
  void integer_or(const char* name, std::optional<int>& value, Range range) override {
    if (const Part* part = find(name)) take_whole(part, value.emplace(), range);
  }
  void number(const char* name, double& value, Range range) override {
    take_number(find(name), value, range);
  }
  void number_or(const char* name, double& value, Range range) override {
    if (const Part* part = find(name)) take_number(part, value, range);
  }
  void number_or(const char* name, std::optional<double>& value, Range range) override {
    if (const Part* part = find(name)) take_number(part, value.emplace(), range);
  }
  void flag_or(const char* name, bool& value) override {
    const Part* part = find(name);
    if (!part) return;
    if (part->kind != Kind::yes && part->kind != Kind::no) return give_up();
    value = part->kind == Kind::yes;
  }
  void integers_or(const char* name, std::vector<int>& values, std::size_t items_max,
                   Range range) override {
    const Part* part = find(name);
    if (!part) return;
    if (part->kind != Kind::list) return give_up();
    json_.each(*part, [&](const Part& item) { take_whole(&item, values.emplace_back(), range); });
    if (values.size() > items_max) give_up();
  }
  void demand(bool holds, const char*, const char*, const char*) override {
    if (!holds) give_up();
  }

 private:
  void give_up() { failed_ = true; }
  void take_text(const Part* part, std::string& value, std::size_t low, std::size_t high) {
    if (!part || part->kind != Kind::text) return give_up();
    if (part->value.size() < low || part->value.size() > high) return give_up();
    value = part->value;
  }
  void take_whole(const Part* part, int& value, Range range) {
    if (!part || part->kind != Kind::whole || !range.holds(part->number)) return give_up();
    value = static_cast<int>(part->number);
  }
  void take_number(const Part* part, double& value, Range range) {
    if (!part || (part->kind != Kind::whole && part->kind != Kind::decimal)) return give_up();
    if (!range.holds(part->number)) return give_up();
    value = part->number;
  }
  void take_choice(const Part* part, int& index, const Choices& choices) {
    if (!part || part->kind != Kind::text) return give_up();
    for (std::size_t i = 0; i < choices.size(); ++i) {
      if (part->value != choices[i]) continue;
      index = static_cast<int>(i);
      return;
    }
    give_up();
  }
  void go_inside(const Part& part, const Inside& inside) {
    if (part.kind != Kind::object) return give_up();
    PlainFields inner(json_, part);
    inside(inner);
    failed_ = failed_ || inner.failed();
  }

  void choice_index(const char* name, int& index, const Choices& choices) override {
    take_choice(find(name), index, choices);
  }
  void choice_index_or(const char* name, std::optional<int>& index,
                       const Choices& choices) override {
    if (const Part* part = find(name)) take_choice(part, index.emplace(), choices);
  }
  void group_here(const char* name, const Inside& inside) override {
    const Part* part = find(name);
    part ? go_inside(*part, inside) : give_up();
  }
  bool group_maybe(const char* name, bool, const Inside& inside) override {
    const Part* part = find(name);
    if (part) go_inside(*part, inside);
    return part && !failed_;
  }

  const PlainJson& json_;
  const Part& object_;
  const Part* last_ = nullptr;  // found
  bool failed_ = false;
};

// False where the field is not there or no whole number from 0 to high.
bool take_whole(const Part* part, double high, std::int64_t& value) {
  if (!part || part->kind != Kind::whole || part->number < 0 || part->number > high) return false;
  value = static_cast<std::int64_t>(part->number);
  return true;
}

bool take_id(const Part* part, RecordId& id) {
  if (!part || part->kind != Kind::text) return false;
  const auto found = parse_record_id(part->value);
  if (found) id = *found;
  return found.has_value();
}

bool take_envelope(const PlainJson& plain, Record& record) {
  PlainFields fields(plain, plain.root());
  std::int64_t version = 0, tick = 0;
  if (!take_whole(fields.find("v"), wire::version, version) || version != wire::version ||
      !take_id(fields.find("id"), record.id) ||
      !take_whole(fields.find("at_ms"), at_ms_max, record.stamp.at_ms) ||
      !take_whole(fields.find("tick"), tick_max, tick) ||
      !take_whole(fields.find("clock_ms"), at_ms_max, record.clock_ms)) {
    return false;
  }
  record.stamp.tick = static_cast<std::uint32_t>(tick);
  fields.text_or("author", record.author, id_bytes_max);
  fields.text("kind", record.kind, id_bytes_max);
  if (const Part* replaces = fields.find("replaces")) {
    if (!take_id(replaces, record.replaces.emplace())) return false;
  }
  return !fields.failed();
}

}  // namespace

bool read_plain_record(std::string_view bytes, Record& record) {
  thread_local PlainJson plain;  // kilobytes, which are not to be made anew for each record
  if (bytes.size() > record_bytes_max || !plain.read(bytes)) return false;
  if (!take_envelope(plain, record)) return false;
  const Part* body = plain.find(plain.root(), "body");
  if (!body || body->kind != Kind::object) return false;
  record.body = body_of_kind(kind_index(record.kind));
  PlainFields fields(plain, *body);
  body_fields(fields, record.body);
  return !fields.failed();
}

}  // namespace nthtree::ledger
