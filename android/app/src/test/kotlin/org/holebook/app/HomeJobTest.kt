package org.holebook.app

import android.app.Application
import android.app.job.JobInfo
import android.app.job.JobParameters
import android.app.job.JobScheduler
import android.content.ComponentName
import android.net.ConnectivityManager
import android.net.Network
import android.net.NetworkCapabilities
import android.os.PersistableBundle
import java.util.concurrent.TimeUnit.MINUTES
import org.holebook.app.carry.words
import org.holebook.core.Pair
import org.holebook.core.Relay
import org.holebook.core.ShopProgram
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Before
import org.junit.Rule
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Robolectric
import org.robolectric.RobolectricTestRunner
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf
import org.robolectric.annotation.Config
import org.robolectric.shadows.ShadowNetwork

/** The way home in the background: when it is planned, what it waits for, and the job itself with a real shop computer. */
@RunWith(RobolectricTestRunner::class)
@Config(sdk = [35], shadows = [FakeDiscovery::class])
class HomeJobTest {
    @get:Rule
    val fresh = FreshBook()

    private val app: Application get() = RuntimeEnvironment.getApplication()
    private val scheduler get() = app.getSystemService(JobScheduler::class.java)!!
    private val book get() = Book.of(app)
    private val shop = ShopProgram()

    @Before
    fun quiet() = FakeDiscovery.reset()

    @After
    fun shut() {
        settle()
        shop.close()
    }

    private fun settle() = book.desk.submit {}.get()

    private fun send(to: String, vararg form: kotlin.Pair<String, String>) =
        book.carrier.change(to, form.map { (name, value) -> Pair(name, value) }, emptyList())

    private fun pair(code: String) = send("/pair/shop", "code" to code).also { assertEquals(303, it.status.toInt()) }

    private fun page(within: String) = book.carrier.look(within).words

    private fun params(id: Int, network: Network? = null) =
        JobParameters(null, null, id, PersistableBundle.EMPTY, null, null, 0, false, false, false, null, null, network)

    /** Runs a job to its end; gives whether it is to come again. */
    private fun run(id: Int = Errands.SOON, network: Network? = null): Boolean {
        val job = Robolectric.buildService(HomeJob::class.java).create().get()
        assertTrue(job.onStartJob(params(id, network)))
        waitUntil { shadowOf(job).isJobFinished }
        return shadowOf(job).isRescheduleNeeded
    }

    private fun waitUntil(isSo: () -> Boolean) {
        val late = System.nanoTime() + MINUTES.toNanos(1)
        while (!isSo()) {
            check(System.nanoTime() < late) { "it did not come to that" }
            Thread.sleep(20)
        }
    }

    @Test
    fun `it waits for a network that a shop computer can be on, and outlasts a restart of the phone`() {
        book.errands.plan()
        val jobs = scheduler.allPendingJobs.associateBy { it.id }
        assertEquals(setOf(Errands.SOON, Errands.NOW_AND_THEN), jobs.keys)
        for (job in jobs.values) {
            assertTrue(job.isPersisted)
            assertEquals(HomeJob::class.java.name, job.service.className)
            with(job.requiredNetwork!!) {
                assertTrue(hasTransport(NetworkCapabilities.TRANSPORT_WIFI) && hasTransport(NetworkCapabilities.TRANSPORT_ETHERNET))
                assertFalse(hasTransport(NetworkCapabilities.TRANSPORT_CELLULAR))
                assertFalse(hasCapability(NetworkCapabilities.NET_CAPABILITY_INTERNET) || hasCapability(NetworkCapabilities.NET_CAPABILITY_VALIDATED))
            }
            assertFalse(job.isRequireCharging || job.isRequireDeviceIdle)
        }
        assertEquals(JobInfo.BACKOFF_POLICY_LINEAR, jobs.getValue(Errands.SOON).backoffPolicy)
        assertTrue(jobs.getValue(Errands.NOW_AND_THEN).isPeriodic)
    }

    /** Why a network is described, and not only called unmetered: Android itself adds this, and a shop's network has it not. */
    @Test
    fun `what is only called unmetered must lead to the internet`() {
        val job = JobInfo.Builder(9, ComponentName(app, HomeJob::class.java)).setRequiredNetworkType(JobInfo.NETWORK_TYPE_UNMETERED).build()
        assertTrue(job.requiredNetwork!!.hasCapability(NetworkCapabilities.NET_CAPABILITY_VALIDATED))
    }

    @Test
    fun `nothing is planned for a phone that is paired with nobody`() {
        send("/casting", "name" to "Sample, invented")
        book.plan()
        settle()
        assertTrue(scheduler.allPendingJobs.isEmpty())
        assertFalse(run())
    }

    @Test
    fun `what is recorded is planned once, after a while`() {
        shop.code { pair(it.words) }
        scheduler.cancelAll()
        send("/casting", "name" to "Sample, invented")
        val first = scheduler.getPendingJob(Errands.SOON)!!
        assertTrue(first.minLatencyMillis >= MINUTES.toMillis(1))
        send("/casting", "name" to "Another, invented")
        assertTrue("the first stands", first === scheduler.getPendingJob(Errands.SOON))
        book.plan()
        settle()
        assertFalse("opening the app begins the wait anew", first === scheduler.getPendingJob(Errands.SOON))
        assertEquals(2, scheduler.allPendingJobs.size)
    }

    @Test
    fun `it brings home what was recorded, and is bound to the shop's network meanwhile alone`() {
        shop.code { pair(it.words) }
        send("/casting", "name" to "Sample, invented")
        assertTrue("not home" in page("/settings"))
        assertFalse(run(network = ShadowNetwork.newInstance(7)))
        assertFalse("not home" in page("/settings"))
        assertTrue("Sample, invented" in shop.command("list"))
        val connectivity = app.getSystemService(ConnectivityManager::class.java)!!
        assertNull(connectivity.boundNetworkForProcess)
        assertTrue(shadowOf(connectivity).networkCallbacks.isEmpty())
        assertEquals("it was where it was, and is not looked for", 0, FakeDiscovery.searches)
        assertFalse(HomeJob.isUnderWay(Errands.SOON))
    }

    @Test
    fun `a shop that is not reached is looked for, and tried again later`() {
        shop.code { pair(it.words) }
        send("/casting", "name" to "Sample, invented")
        shop.kill()
        assertTrue(run())
        assertEquals(1, FakeDiscovery.searches)
        assertFalse("what comes every few hours comes by itself", run(Errands.NOW_AND_THEN))
        shop.open()
        assertFalse(run())
        assertFalse("not home" in page("/settings"))
    }

    @Test
    fun `a shop that does not let the phone in is not tried again and again`() {
        shop.code { pair(it.words) }
        send("/casting", "name" to "Sample, invented")
        shop.command("devices", "--revoke", shop.devices().single())
        assertFalse(run())
        assertTrue("not home" in page("/settings"))
        assertTrue("role=\"alert\"" in page("/exchange"))
    }

    @Test
    fun `when Android stops it, it ends soon, comes again, and keeps what it had`() = Relay(shop).use { relay ->
        relay.link { pair(it) }
        send("/casting", "name" to "Sample, invented", "note" to "x".repeat(60_000))
        val job = Robolectric.buildService(HomeJob::class.java).create().get()
        relay.standStill(5_000, { job.onStartJob(params(Errands.SOON)) }) {
            assertTrue(HomeJob.isUnderWay(Errands.SOON))
            assertTrue(job.onStopJob(params(Errands.SOON)))
            assertFalse(HomeJob.isUnderWay(Errands.SOON))
        }
        waitUntil { "Under way" !in page("/exchange") }
        assertFalse("a job that was stopped does not end a second time", shadowOf(job).isJobFinished)
        assertFalse(run())
        assertFalse("not home" in page("/settings"))
    }
}
