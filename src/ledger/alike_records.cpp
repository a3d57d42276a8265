// SPDX-License-Identifier: Apache-2.0
#include "ledger/alike_records.h"

#include <algorithm>
#include <cmath>

#include "ledger/body_fields.h"
#include "ledger/plain_json.h"
#include "ledger/plain_record.h"

namespace nthtree::ledger {
namespace {

constexpr std::int64_t whole_max = 999999999999999;  // as plain_json.h reads them
constexpr std::size_t digits_more = 14;              // a number's digits beyond the first
constexpr std::size_t id_head = 33;                  // letters of an id before its sequence

}  // namespace

// Tells each field of the body which number it is.
class AlikeRecords::Finder final : public FieldVisitor {
 public:
  Finder(AlikeRecords& to, const PlainJson& json, std::string_view text,
         std::span<const std::uint32_t> places)
      : to_(to), json_(json), text_(text), places_(places) {}

  // The places' count where the part is none of the numbers.
  std::size_t number_of(const PlainJson::Part* part, std::size_t behind = 0) const {
    if (!part) return places_.size();
    const auto at = static_cast<std::size_t>(part->value.data() - text_.data()) + behind;
    return static_cast<std::size_t>(std::find(places_.begin(), places_.end(), at) -
                                    places_.begin());
  }
  bool take_envelope(Record& record) {
    const auto& root = json_.root();
    const auto known = [&](std::size_t number) { return number < places_.size(); };
    to_.sequence_ = number_of(json_.find(root, "id"), id_head);
    to_.tick_ = number_of(json_.find(root, "tick"));
    const std::size_t at = number_of(json_.find(root, "at_ms"));
    const std::size_t clock = number_of(json_.find(root, "clock_ms"));
    if (!known(to_.sequence_) || !known(to_.tick_) || !known(at) || !known(clock)) return false;
    to_.numbers_[to_.sequence_] = {1, whole_max, nullptr, nullptr};
    to_.numbers_[to_.tick_] = {0, tick_max, nullptr, nullptr};
    to_.numbers_[at] = {0, at_ms_max, nullptr, &record.stamp.at_ms};
    to_.numbers_[clock] = {0, at_ms_max, nullptr, &record.clock_ms};
    return true;
  }
  bool take_body(Record& record) {
    body_ = json_.find(json_.root(), "body");
    if (body_) body_fields(*this, record.body);
    return body_ && !failed_;
  }

  void integer(const char* name, int& value, Range range) override { take(name, &value, range); }
  void integer_or(const char* name, int& value, Range range) override {
    take(name, &value, range);
  }
  void integer_or(const char* name, std::optional<int>& value, Range range) override {
    if (value) take(name, &*value, range);
  }
  void integers_or(const char*, std::vector<int>& values, std::size_t, Range) override {
    failed_ = failed_ || !values.empty();
  }
  // Of the text itself, which is the same in all.
  void text(const char*, std::string&, std::size_t) override {}
  void text_or(const char*, std::string&, std::size_t) override {}
  void demand(bool, const char*, const char*, const char*) override {}
  // Not in tags and re-counts.
  void number(const char*, double&, Range) override { failed_ = true; }
  void number_or(const char*, double&, Range) override { failed_ = true; }
  void number_or(const char*, std::optional<double>&, Range) override { failed_ = true; }
  void flag_or(const char*, bool&) override { failed_ = true; }

 private:
  void choice_index(const char*, int&, const Choices&) override { failed_ = true; }
  void choice_index_or(const char*, std::optional<int>&, const Choices&) override {
    failed_ = true;
  }
  void group_here(const char*, const Inside&) override { failed_ = true; }
  bool group_maybe(const char*, bool, const Inside&) override {
    failed_ = true;
    return false;
  }
  void take(const char* name, int* value, Range range) {
    const std::size_t number = number_of(json_.find(*body_, name));
    if (number == places_.size()) return;
    to_.numbers_[number] = {static_cast<std::int64_t>(std::ceil(range.low)),
                            static_cast<std::int64_t>(std::floor(range.high)), value, nullptr};
  }

  AlikeRecords& to_;
  const PlainJson& json_;
  std::string_view text_;
  std::span<const std::uint32_t> places_;
  const PlainJson::Part* body_ = nullptr;
  bool failed_ = false;
};

bool AlikeRecords::learn(std::string_view text, std::span<const std::uint32_t> places) {
  record_ = Record();
  Record& record = *record_;
  thread_local PlainJson json;  // kilobytes, as in plain_record.cpp
  if (text.size() + digits_more * places.size() > record_bytes_max) return false;
  if (!read_plain_record(text, record) || !json.read(text)) return false;
  if (!std::holds_alternative<TagCount>(record.body) &&
      !std::holds_alternative<CheckCount>(record.body)) {
    return false;
  }
  numbers_.clear();
  for (const std::uint32_t place : places) {
    std::int64_t same = 0;
    for (std::size_t at = place; at < text.size() && text[at] >= '0' && text[at] <= '9'; ++at) {
      if (same > whole_max / 10) return false;
      same = 10 * same + (text[at] - '0');
    }
    numbers_.push_back({same, same, nullptr, nullptr});
  }
  Finder finder(*this, json, text, places);
  return finder.take_envelope(record) && finder.take_body(record);
}

base::Result<Record>* AlikeRecords::read(std::span<const std::int64_t> numbers) {
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    const Number& to = numbers_[i];
    if (numbers[i] < to.low || numbers[i] > to.high) return nullptr;
    if (to.field) *to.field = static_cast<int>(numbers[i]);
    if (to.time) *to.time = numbers[i];
  }
  record_->id.sequence = static_cast<std::uint64_t>(numbers[sequence_]);
  record_->stamp.tick = static_cast<std::uint32_t>(numbers[tick_]);
  return &record_;
}

}  // namespace nthtree::ledger
