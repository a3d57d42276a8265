// SPDX-License-Identifier: Apache-2.0
//
// A value that few of many have: one pointer where there is none, instead of room for it in each.
// Copied with what holds it.
//
//   base::Rarely<Mend> mend;
//   if (const Mend* mended = mend.get()) …
//   mend.make().spurs = 12;
#pragma once

#include <memory>

namespace nthtree::base {

template <typename T>
class Rarely {
 public:
  Rarely() = default;
  Rarely(const Rarely& other) : held_(other.held_ ? new T(*other.held_) : nullptr) {}
  Rarely(Rarely&&) noexcept = default;
  Rarely& operator=(Rarely other) noexcept {
    held_.swap(other.held_);
    return *this;
  }

  const T* get() const { return held_.get(); }  // null where there is none
  // Made by default where there is none.
  T& make() {
    if (!held_) held_.reset(new T());
    return *held_;
  }

 private:
  std::unique_ptr<T> held_;
};

}  // namespace nthtree::base
