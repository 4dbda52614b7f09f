package org.holebook.app.shell

import org.holebook.core.Notebook
import org.holebook.core.NotebookException
import org.holebook.core.PairedShop
import org.holebook.core.RemoteProblem
import org.holebook.core.SeenShop
import org.holebook.core.SyncRun
import org.holebook.core.SyncTarget

/** Finds shop computers on the network. An address is only a candidate: the pinned key decides. */
fun interface Finder {
    /** Blocks for some seconds. */
    fun find(): List<SeenShop>
}

/**
 * One sync with every paired shop computer. [run] blocks; another thread may [stop] it, and what
 * was transferred by then stays.
 */
class SyncTask(openNotebook: () -> Notebook, private val finder: Finder) {
    /** How it ended. */
    enum class Result {
        /** Nothing is left to sync. */
        DONE,

        /** A shop computer was unreachable or the sync incomplete: retry later. */
        RETRY,

        /** The phone is paired with no shop computer. */
        NOT_PAIRED,
    }

    private enum class Outcome { SYNCED, UNREACHABLE, INTERRUPTED, ACCESS_DENIED }

    private val notebook by lazy(openNotebook) // on the thread that runs, since it may block
    private var isStopped = false
    private var current: SyncRun? = null

    /** Runs the sync. Shop computers that are not at their last address are searched for once. */
    fun run(): Result {
        val shops = notebook.shops()
        if (shops.isEmpty()) return Result.NOT_PAIRED
        var outcomes = shops.associateWith(::syncWith)
        val unreachable = outcomes.filterValues { it == Outcome.UNREACHABLE }.keys
        if (unreachable.isNotEmpty() && !isStopped()) {
            notebook.setSeenShops(finder.find())
            outcomes = outcomes + unreachable.associateWith(::syncWith)
        }
        // A shop that revoked this phone will not accept it later either; the sync page says so.
        val complete = outcomes.values.all {
            it == Outcome.SYNCED || it == Outcome.ACCESS_DENIED
        }
        val recordedMeanwhile =
            Outcome.SYNCED in outcomes.values && notebook.entriesNotSynced() > 0uL
        return if (complete && !recordedMeanwhile) Result.DONE else Result.RETRY
    }

    /** Ends it soon. */
    @Synchronized
    fun stop() {
        isStopped = true
        current?.cancel()
    }

    @Synchronized
    private fun isStopped() = isStopped

    private fun syncWith(shop: PairedShop): Outcome = try {
        start(shop)?.use(::finish) ?: Outcome.INTERRUPTED
    } catch (error: NotebookException.Remote) {
        when (error.problem) {
            RemoteProblem.NOT_FOUND, RemoteProblem.UNREACHABLE -> Outcome.UNREACHABLE
            RemoteProblem.ACCESS_DENIED -> Outcome.ACCESS_DENIED
            RemoteProblem.FULL, RemoteProblem.NOT_WRITABLE, RemoteProblem.FAILED ->
                Outcome.INTERRUPTED
        }
    } catch (_: NotebookException) {
        Outcome.INTERRUPTED
    }

    @Synchronized
    private fun start(shop: PairedShop): SyncRun? {
        if (isStopped) return null
        return notebook.startSync(SyncTarget.Shop(shop.id)).also { current = it }
    }

    private fun finish(run: SyncRun): Outcome {
        while (!run.isOver()) Thread.sleep(POLL_MS)
        synchronized(this) { current = null }
        run.result()
        return Outcome.SYNCED
    }

    private companion object {
        const val POLL_MS = 200L
    }
}
