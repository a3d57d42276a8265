// SPDX-License-Identifier: Apache-2.0
//
// Where something of its owner's was found last. Whoever is copied or moved begins without it: it
// would point into the other.
//
//   base::Remembered<Block> last_;
//   if (last_.get() && last_.get()->id == id) …
#pragma once

namespace nthtree::base {

template <typename T>
class Remembered {
 public:
  Remembered() = default;
  Remembered(const Remembered&) {}
  Remembered(Remembered&& other) noexcept { other.found_ = nullptr; }
  Remembered& operator=(const Remembered&) {
    found_ = nullptr;
    return *this;
  }
  Remembered& operator=(Remembered&& other) noexcept {
    found_ = other.found_ = nullptr;
    return *this;
  }

  T* get() const { return found_; }  // null where nothing is
  void set(T* found) { found_ = found; }

 private:
  T* found_ = nullptr;
};

}  // namespace nthtree::base
