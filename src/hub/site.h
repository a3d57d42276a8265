// SPDX-License-Identifier: Apache-2.0
//
// The app's files, held in memory: read once at the start, so that no request ever reaches the file
// system and no path can lead out of the folder.
//
// "app.wasm.br" beside "app.wasm" is the same file compressed; whoever takes brotli gets it.
//
//   Site site = *load_site("build/wasm/site");
//   const SiteFile* file = site.find("/app.wasm");
#pragma once

#include <map>
#include <string>
#include <string_view>

#include "base/result.h"

namespace nthtree::hub {

struct SiteFile {
  std::string bytes;
  std::string brotli;  // empty where there is none
  std::string content_type;
  std::string tag;  // of the plain bytes, for If-None-Match, with its quotes
};

class Site {
 public:
  void add(std::string path, SiteFile file) { files_[std::move(path)] = std::move(file); }
  // Null where there is none. "/" is "/index.html"; a query is ignored.
  const SiteFile* find(std::string_view target) const;
  bool empty() const { return files_.empty(); }

 private:
  std::map<std::string, SiteFile, std::less<>> files_;
};

// Errors: the folder is missing, too large, or a file cannot be read.
base::Result<Site> load_site(const std::string& folder);

}  // namespace nthtree::hub
