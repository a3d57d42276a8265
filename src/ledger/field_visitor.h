// SPDX-License-Identifier: Apache-2.0
//
// One declaration of a struct's fields, one piece of machine code: the fields of a record are named
// to this interface, and FieldReader, FieldWriter and the schema writer stand behind it by Visited.
// As templates they would be compiled once for each of the three and each of the kinds, which was
// a tenth of the app.
//
//   void fields(FieldVisitor& v, BeforeCount& body) {
//     v.integer("spurs", body.spurs, limits::spurs_per_tree);
//   }
//   FieldReader reader(json, "body");
//   Visited visitor(reader);
//   fields(visitor, body);
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "ledger/fields.h"

namespace nthtree::ledger {

class FieldVisitor {
 public:
  using Inside = std::function<void(FieldVisitor&)>;

  virtual ~FieldVisitor() = default;
  virtual void text(const char* name, std::string& value, std::size_t bytes_max) = 0;
  virtual void text_or(const char* name, std::string& value, std::size_t bytes_max) = 0;
  virtual void integer(const char* name, int& value, Range range) = 0;
  virtual void integer_or(const char* name, int& value, Range range) = 0;
  virtual void integer_or(const char* name, std::optional<int>& value, Range range) = 0;
  virtual void number(const char* name, double& value, Range range) = 0;
  virtual void number_or(const char* name, double& value, Range range) = 0;
  virtual void number_or(const char* name, std::optional<double>& value, Range range) = 0;
  virtual void flag_or(const char* name, bool& value) = 0;
  virtual void integers_or(const char* name, std::vector<int>& values,
                           std::size_t items_max, Range range) = 0;
  virtual void demand(bool holds, const char* name, const char* id, const char* what) = 0;
  template <typename Enum>
  void choice(const char* name, Enum& value, const Choices& choices) {
    int index = static_cast<int>(value);
    choice_index(name, index, choices);
    value = static_cast<Enum>(index);
  }
  template <typename Enum>
  void choice_or(const char* name, std::optional<Enum>& value, const Choices& choices) {
    std::optional<int> index;
    if (value) index = static_cast<int>(*value);
    choice_index_or(name, index, choices);
    if (index) value = static_cast<Enum>(*index);
  }
  // An object inside this one, whose fields `fields` names.
  template <typename T>
  void group(const char* name, T& value, void (*fields)(FieldVisitor&, T&)) {
    group_here(name, [&](FieldVisitor& inner) { fields(inner, value); });
  }
  template <typename T>
  void group_or(const char* name, std::optional<T>& value, void (*fields)(FieldVisitor&, T&)) {
    T inside = value.value_or(T{});
    if (group_maybe(name, value.has_value(),
                    [&](FieldVisitor& inner) { fields(inner, inside); })) {
      value = std::move(inside);
    }
  }

 protected:
  virtual void choice_index(const char* name, int& index, const Choices& choices) = 0;
  virtual void choice_index_or(const char* name, std::optional<int>& index,
                               const Choices& choices) = 0;
  virtual void group_here(const char* name, const Inside& inside) = 0;
  // True where the group is there afterwards and `inside` was asked for it.
  virtual bool group_maybe(const char* name, bool is_there, const Inside& inside) = 0;
};

template <typename Visitor>
class Visited final : public FieldVisitor {
 public:
  explicit Visited(Visitor& to) : to_(to) {}

  void text(const char* name, std::string& value, std::size_t bytes_max) override {
    to_.text(name, value, bytes_max);
  }
  void text_or(const char* name, std::string& value, std::size_t bytes_max) override {
    to_.text_or(name, value, bytes_max);
  }
  void integer(const char* name, int& value, Range range) override {
    to_.integer(name, value, range);
  }
  void integer_or(const char* name, int& value, Range range) override {
    to_.integer_or(name, value, range);
  }
  void integer_or(const char* name, std::optional<int>& value, Range range) override {
    to_.integer_or(name, value, range);
  }
  void number(const char* name, double& value, Range range) override {
    to_.number(name, value, range);
  }
  void number_or(const char* name, double& value, Range range) override {
    to_.number_or(name, value, range);
  }
  void number_or(const char* name, std::optional<double>& value, Range range) override {
    to_.number_or(name, value, range);
  }
  void flag_or(const char* name, bool& value) override { to_.flag_or(name, value); }
  void integers_or(const char* name, std::vector<int>& values, std::size_t items_max,
                   Range range) override {
    to_.integers_or(name, values, items_max, range);
  }
  void demand(bool holds, const char* name, const char* id, const char* what) override {
    if (!holds) to_.demand(holds, name, id, what);
  }

 private:
  void choice_index(const char* name, int& index, const Choices& choices) override {
    to_.choice(name, index, choices);
  }
  void choice_index_or(const char* name, std::optional<int>& index,
                       const Choices& choices) override {
    to_.choice_or(name, index, choices);
  }
  void group_here(const char* name, const Inside& inside) override {
    int stand_in = 0;
    to_.group(name, stand_in, [&](Visitor& inner, int&) { go(inner, inside); });
  }
  bool group_maybe(const char* name, bool is_there, const Inside& inside) override {
    bool was_there = false;
    std::optional<int> stand_in;
    if (is_there) stand_in = 0;
    to_.group_or(name, stand_in, [&](Visitor& inner, int&) {
      go(inner, inside);
      was_there = true;
    });
    return was_there && stand_in.has_value();
  }
  static void go(Visitor& inner, const Inside& inside) {
    Visited visitor(inner);
    inside(visitor);
  }

  Visitor& to_;
};

}  // namespace nthtree::ledger
