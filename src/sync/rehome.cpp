// SPDX-License-Identifier: Apache-2.0
#include "sync/rehome.h"

#include "base/text.h"
#include "ledger/json_text.h"
#include "sync/digest.h"

namespace nthtree::sync {
namespace {

constexpr std::string_view between = "\",\"first_id\":\"";

struct Span {  // of the id's characters, without the quotes
  std::size_t begin = 0, end = 0;
};

// The end of the string that begins after the quote at `at`: the index of its closing quote.
std::size_t end_of_string(std::string_view text, std::size_t at) {
  for (std::size_t i = at + 1; i < text.size(); ++i) {
    if (text[i] == '\\') {
      ++i;
    } else if (text[i] == '"') {
      return i;
    }
  }
  return std::string_view::npos;
}

bool is_space(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; }

// Where the value of the outermost "id" stands, if it is a string. A scan and not a parse, so that
// it works on records that a parse refuses.
std::optional<Span> find_id(std::string_view text) {
  int depth = 0;
  bool is_key = false;  // the next string is a key of the outermost object
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '{' || c == '[') {
      is_key = ++depth == 1 && c == '{';
    } else if (c == '}' || c == ']') {
      --depth;
    } else if (c == ',') {
      is_key = depth == 1;
    } else if (c == '"') {
      const std::size_t end = end_of_string(text, i);
      if (end == std::string_view::npos) return std::nullopt;
      const bool is_id = is_key && text.substr(i + 1, end - i - 1) == "id";
      i = end;
      if (is_id) {
        ++i;
        while (i < text.size() && (is_space(text[i]) || text[i] == ':')) ++i;
        if (i >= text.size() || text[i] != '"') return std::nullopt;
        const std::size_t close = end_of_string(text, i);
        if (close == std::string_view::npos) return std::nullopt;
        return Span{i + 1, close};
      }
      is_key = false;
    }
  }
  return std::nullopt;
}

ledger::DeviceKey key_of(const Digest& digest) {
  ledger::DeviceKey key;
  for (int i = 0; i < 8; ++i) {
    key.high = key.high << 8 | digest[i];
    key.low = key.low << 8 | digest[8 + i];
  }
  return key;
}

}  // namespace

std::optional<ledger::RecordId> peek_id(std::string_view bytes) {
  const auto span = find_id(bytes);
  if (!span) return std::nullopt;
  return ledger::parse_record_id(bytes.substr(span->begin, span->end - span->begin));
}

std::optional<ledger::RecordId> well_formed_id(std::string_view bytes) {
  if (bytes.find_first_of("\r\n") != std::string_view::npos) return std::nullopt;
  const auto parsed = ledger::parse_json(bytes, {kept_bytes_max, ledger::json_depth_max});
  if (!parsed || !parsed->is_object()) return std::nullopt;
  return peek_id(bytes);
}

ledger::RecordId rehomed_id(std::string_view bytes) { return {key_of(sha256(bytes)), 1}; }

std::optional<RawRecord> rehome(std::string_view bytes) {
  const auto span = find_id(bytes);
  if (!span) return std::nullopt;
  RawRecord moved;
  moved.id = rehomed_id(bytes);
  moved.bytes = std::string(bytes.substr(0, span->begin)) + moved.id.text();
  moved.bytes += between;
  moved.bytes += bytes.substr(span->begin);
  if (!well_formed_id(moved.bytes)) return std::nullopt;
  return moved;
}

std::optional<RawRecord> original_of(const ledger::RecordId& id, std::string_view bytes) {
  if (id.sequence != 1 || bytes.find(between.substr(2)) == std::string_view::npos) {
    return std::nullopt;
  }
  const auto span = find_id(bytes);
  if (!span || bytes.substr(span->end, between.size()) != between) return std::nullopt;
  const std::size_t old_begin = span->end + between.size();
  const std::size_t old_end = bytes.find('"', old_begin);
  if (old_end == std::string_view::npos) return std::nullopt;
  const auto old_id = ledger::parse_record_id(bytes.substr(old_begin, old_end - old_begin));
  if (!old_id) return std::nullopt;
  RawRecord original{*old_id, std::string(bytes.substr(0, span->begin))};
  original.bytes += bytes.substr(old_begin);
  if (rehomed_id(original.bytes) != id) return std::nullopt;
  return original;
}

bool keeps_id(std::string_view left, std::string_view right) {
  const Digest l = sha256(left), r = sha256(right);
  return l != r ? l < r : left < right;
}

}  // namespace nthtree::sync
