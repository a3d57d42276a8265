// SPDX-License-Identifier: Apache-2.0
//
// What a function gives back when it can fail for a reason the user can act on.
//
// Expected failures are values; mistakes of the programmer are asserts, also in release builds.
// No exception crosses a module, because the WebAssembly build has none.
//
//   Result<Target> target = work_out_target(block);
//   if (!target) return target.error();
//   show(target->spurs_to_leave_per_tree);
#pragma once

#include <cstdio>
#include <cstdlib>
#include <optional>
#include <string>
#include <utility>
#include <variant>

namespace nthtree::base {

// A failure in words a person can act on.
struct Error {
  std::string id;     // stable, snake_case, one word group a cause: "out_of_range"
  std::string what;   // one sentence: what is wrong and what is allowed
  std::string where;  // field path, file or record: "block.row_spacing_m"; may be empty

  // "where: what (id)", or "what (id)" where no place is known.
  std::string text() const {
    return (where.empty() ? std::string() : where + ": ") + what + " (" + id + ")";
  }
  friend bool operator==(const Error&, const Error&) = default;
};

// Stops the program: a mistake in the code, never bad input. On in release builds too.
[[noreturn]] inline void broken_promise(const char* promise, const char* file, int line) {
  std::fprintf(stderr, "%s:%d: broken promise: %s\n", file, line, promise);
  std::abort();
}
#define NTHTREE_ASSERT(promise) \
  ((promise) ? void(0) : ::nthtree::base::broken_promise(#promise, __FILE__, __LINE__))

// Either a T or an Error. Reading the one that is not there is a broken promise.
template <typename T>
class [[nodiscard]] Result {
 public:
  Result(T value) : state_(std::in_place_index<0>, std::move(value)) {}
  Result(Error error) : state_(std::in_place_index<1>, std::move(error)) {}

  bool ok() const { return state_.index() == 0; }
  explicit operator bool() const { return ok(); }

  const T& value() const& {
    NTHTREE_ASSERT(ok());
    return *std::get_if<0>(&state_);
  }
  T& value() & {
    NTHTREE_ASSERT(ok());
    return *std::get_if<0>(&state_);
  }
  T&& value() && {
    NTHTREE_ASSERT(ok());
    return std::move(*std::get_if<0>(&state_));
  }
  const T& operator*() const& { return value(); }
  T& operator*() & { return value(); }
  const T* operator->() const { return &value(); }
  T* operator->() { return &value(); }

  const Error& error() const {
    NTHTREE_ASSERT(!ok());
    return *std::get_if<1>(&state_);
  }

 private:
  std::variant<T, Error> state_;
};

// For functions that give nothing back but may fail: `return Ok{};`.
struct Ok {
  friend bool operator==(const Ok&, const Ok&) = default;
};
using Status = Result<Ok>;

}  // namespace nthtree::base
