// SPDX-License-Identifier: Apache-2.0
//
// JSON as this app writes it, taken apart where it stands: no white space, texts of printable ASCII
// without escapes, numbers of at most fifteen digits without exponent, a few dozen parts. Nearly
// every record is so, and is read some ten times as fast as through a tree of values. Whatever is
// written otherwise is left to base/json_text.h, which judges it: nothing is taken here that is
// refused there, and nothing reads as another value (ledger/plain_record_test, tests/fuzz record).
//
//   PlainJson json;
//   if (json.read(bytes)) if (const auto* part = json.find(json.root(), "v")) …
#pragma once

#include <array>
#include <cstdint>
#include <string_view>

namespace nthtree::ledger {

class PlainJson {
 public:
  enum class Kind : std::uint8_t { text, whole, decimal, yes, no, list, object };
  struct Part {
    std::string_view name;   // of a field; empty in a list
    std::string_view value;  // a text without its quotes, a number as written; else nothing
    double number = 0;       // of whole and decimal
    std::uint64_t marks = 0;  // of the names in an object
    Kind kind = Kind::object;
    std::uint8_t end = 0;    // index after its last inner part
  };

  // False where the text is not an object as described; it may be good JSON all the same. The parts
  // point into the text.
  bool read(std::string_view text);

  const Part& root() const { return parts_[0]; }
  // Null where the object has no such field. after: a field of it, behind which to look first,
  // since fields are mostly asked for in the order in which they were written.
  const Part* find(const Part& object, std::string_view name, const Part* after = nullptr) const;
  // Calls visit(part) for every item of a list.
  template <typename Visit>
  void each(const Part& list, Visit&& visit) const {
    for (std::size_t i = inner(list); i < list.end; i = parts_[i].end) visit(parts_[i]);
  }

 private:
  static constexpr std::size_t parts_max = 96;
  static constexpr int depth_max = 5;

  std::size_t inner(const Part& part) const {
    return static_cast<std::size_t>(&part - parts_.data()) + 1;
  }
  const Part* find_between(std::size_t begin, std::size_t end, std::string_view name) const;
  // Each takes what stands at `at` and says where that ends; null where it is not plain.
  const char* value(const char* at, std::string_view name, int depth);
  const char* items(const char* at, std::size_t owner, int depth);
  const char* fields(const char* at, std::size_t owner, int depth);

  std::array<Part, parts_max> parts_;
  std::size_t count_ = 0;
  const char* end_ = nullptr;
};

}  // namespace nthtree::ledger
