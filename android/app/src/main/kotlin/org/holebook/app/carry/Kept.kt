package org.holebook.app.carry

import org.holebook.core.Response

/**
 * Answers to forms that wait to be shown. A page cannot put the answer to its form on the screen by itself and keep an
 * address of its own, so the answer waits here, and the page goes to the form's address and finds it, once. Asked for
 * again, after a restart say, that address leads to the page that the form stands on.
 */
class Kept {
    private val answers = LinkedHashMap<String, Response>()

    /** Keeps the answer to the form that was sent to [address]. */
    @Synchronized
    fun keep(address: String, answer: Response) {
        answers[address] = answer
        while (answers.size > MOST) answers.remove(answers.keys.first())
    }

    /** The answer that waits at [address], which waits no longer. */
    @Synchronized
    fun take(address: String): Response? = answers.remove(address)

    private companion object {
        /** One page shows at a time; a few more for a finger that is faster than the page. */
        const val MOST = 4
    }
}
