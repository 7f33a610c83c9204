// Blocks of text one behind the other, handed on whole.
// Used by output_file and whoever writes to files for it. Promises that a long text is never
// copied on its way, that the blocks' buffers are used again, and that there are few of them.
#pragma once

#include "write/text_block.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>

namespace vitalproof::write {

class text_blocks {
public:
    /// What is put at the end piece by piece.
    text_block& last() { return last_; }

    /// Takes what a block holds and leaves it empty.
    void take(text_block& text) {
        constexpr std::size_t short_text = std::size_t{1} << 14;
        if (text.size() < short_text) {
            last_.append(text.text());
            text.clear();
            return;
        }
        put_last();
        put(text);
    }

    std::size_t size() const { return size_ + last_.size(); }
    bool empty() const { return size() == 0; }

    /// Keeps so many bytes; what lies behind them begins `rest`, which is empty.
    void cut(std::size_t bytes, text_blocks& rest) {
        put_last();
        std::size_t kept = 0;
        for (std::size_t i = 0; i < count_; ++i) {
            const std::size_t here = std::min(blocks_[i].size(), bytes - kept);
            rest.last_.append(blocks_[i].text().substr(here));
            blocks_[i].shrink_to(here);
            kept += here;
        }
        size_ = kept;
    }

    /// Calls `each` with every block's text, some of them empty.
    template <class Each>
    void for_each(Each&& each) const {
        for (std::size_t i = 0; i < count_; ++i) {
            each(blocks_[i].text());
        }
        each(last_.text());
    }

    void clear() {
        for (std::size_t i = 0; i < count_; ++i) {
            blocks_[i].clear();
        }
        last_.clear();
        count_ = 0;
        size_ = 0;
    }

private:
    void put_last() {
        if (!last_.empty()) {
            put(last_);
        }
    }
    void put(text_block& text) {
        if (count_ == blocks_.size()) {
            blocks_.emplace_back();
        }
        size_ += text.size();
        swap(blocks_[count_++], text);
    }

    std::vector<text_block> blocks_{};  // of which those behind the count are empty
    std::size_t count_ = 0;
    std::size_t size_ = 0;  // of these
    text_block last_{};
};

}  // namespace vitalproof::write
